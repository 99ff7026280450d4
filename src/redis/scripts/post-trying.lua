-- Notes that a post may be sent from now on; its hold and its lane count from now.
-- KEYS: out, todo, held, tries, lanes. ARGV: post key, now, end of the hold, when the lane is free again (real ms).
local out, todo, held, tries, lanes = unpack(KEYS)
local key = ARGV[1]
if redis.call('HEXISTS', out, key) == 0 then return end
local count, since = string.match(redis.call('HGET', tries, key) or '0 ', '^(%d+) (%d*)$')
if since == '' then redis.call('HSET', tries, key, count .. ' ' .. ARGV[2]) end
local hold = redis.call('HGET', held, key)
if hold then
  local dirty, lane = string.match(hold, '^(%d) %d+ (.*)$')
  redis.call('ZADD', todo, 'XX', ARGV[3], key)
  redis.call('HSET', lanes, lane, ARGV[4])
  redis.call('HSET', held, key, dirty .. ' ' .. ARGV[4] .. ' ' .. lane)
end
