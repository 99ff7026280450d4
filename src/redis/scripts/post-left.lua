-- Lets go of a post that was taken and not tried: it stays ready, and its lane is as free as it was.
-- KEYS: out, todo, held, lanes. ARGV: post key.
local out, todo, held, lanes = unpack(KEYS)
local key = ARGV[1]
if redis.call('HEXISTS', out, key) == 0 then return end
local laneUntil, lane = string.match(redis.call('HGET', held, key) or '', '^%d (%d+) (.*)$')
if lane and redis.call('HGET', lanes, lane) == laneUntil then redis.call('HDEL', lanes, lane) end
redis.call('HDEL', held, key)
redis.call('ZADD', todo, 0, key)
