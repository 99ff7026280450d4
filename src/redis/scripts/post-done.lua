-- Writes down where a post stands, and lets go of it.
-- KEYS: out, todo, held, sent, tries, lanes; then the posts of each line the post speaks of.
-- ARGV: post key, where it stands (empty: nowhere, for good), whether its words are known to be those of the record,
--       whether it is settled; when it is to be taken again (real ms; empty: when it is touched).
local out, todo, held, sent, tries, lanes = unpack(KEYS, 1, 6)
local key, stands, known, settled, againAt = ARGV[1], ARGV[2], ARGV[3] == '1', ARGV[4] == '1', ARGV[5]
if redis.call('HEXISTS', out, key) == 0 then return end

local dirty, laneUntil, lane = string.match(redis.call('HGET', held, key) or '', '^(%d) (%d+) (.*)$')
-- A hold that is gone was taken over while this send took too long: which of the two stands last nobody knows.
local again = ((dirty == nil or dirty == '1') and stands ~= '') or not known
if stands ~= '' and redis.call('HGET', sent, key) == stands then
  -- It was the same as before: nothing was sent, so the lane is as free as it was.
  if lane and redis.call('HGET', lanes, lane) == laneUntil then redis.call('HDEL', lanes, lane) end
end
redis.call('HDEL', held, key)
redis.call('HDEL', tries, key)
if settled and not again then
  redis.call('ZREM', todo, key)
  redis.call('HDEL', out, key)
  redis.call('HDEL', sent, key)
  for index = 7, #KEYS do redis.call('SREM', KEYS[index], key) end
  return
end
redis.call('HSET', sent, key, stands)
if again then againAt = '0' end
if againAt ~= '' then redis.call('ZADD', todo, againAt, key) else redis.call('ZREM', todo, key) end
