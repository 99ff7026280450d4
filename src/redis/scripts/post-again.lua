-- Lets go of a post that was not sent, until the instant given.
-- KEYS: out, todo, held, tries. ARGV: post key, when to try again (real ms).
local out, todo, held, tries = unpack(KEYS)
local key = ARGV[1]
if redis.call('HEXISTS', out, key) == 0 then return end
local count, since = string.match(redis.call('HGET', tries, key) or '0 ', '^(%d+) (%d*)$')
redis.call('HSET', tries, key, string.format('%.0f', count + 1) .. ' ' .. since)
redis.call('HDEL', held, key)
redis.call('ZADD', todo, ARGV[2], key)
