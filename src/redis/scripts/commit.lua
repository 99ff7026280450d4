-- Writes one change of a ward's record, or nothing of it. It compares and stores; it decides nothing.
-- KEYS: due, lines, once of today, once of yesterday, out, todo, held, the ward's log, the ward's snapshot, placings;
--       then log, snapshot and posts of each line changed; then the posts of other lines that new posts speak of.
-- ARGV is read in order; see redis-record.ts for the writing side.
local due, lines, onceToday, onceYesterday, out, todo, held, wardLog, wardSnapshot, placings = unpack(KEYS, 1, 10)

local position = 0
local function take()
  position = position + 1
  return ARGV[position]
end
local function takeMany()
  local many = {}
  for index = 1, tonumber(take()) do many[index] = take() end
  return many
end

local once, onceSeconds, touchAll = take(), take(), take() == '1'
if once ~= '' then
  if redis.call('SISMEMBER', onceToday, once) == 1 or redis.call('SISMEMBER', onceYesterday, once) == 1 then
    return { 'already' }
  end
end

local wardExpected, wardAfter, wardEntries = take(), take(), takeMany()
if wardExpected ~= '' and redis.call('LLEN', wardLog) ~= tonumber(wardExpected) then return { 'conflict' } end

local changes = {}
for index = 1, tonumber(take()) do
  local key = 10 + 3 * (index - 1)
  local change = {
    log = KEYS[key + 1], snapshot = KEYS[key + 2], posts = KEYS[key + 3],
    id = take(), expected = tonumber(take()), listed = take() == '1', touch = take() == '1', after = take(), placing = take(), entries = takeMany(),
  }
  if redis.call('LLEN', change.log) ~= change.expected then return { 'conflict' } end
  changes[index] = change
end

local forget = takeMany()
local wakes = takeMany()
local posts = {}
for index = 1, tonumber(take()) do
  local post = { key = take(), row = take(), sets = takeMany() }
  if redis.call('HEXISTS', out, post.key) == 1 then return { 'conflict' } end
  posts[index] = post
end

-- Nothing was written up to here, and nothing below refuses.

local function touch(key)
  local hold = redis.call('HGET', held, key)
  if hold then
    redis.call('HSET', held, key, '1' .. string.sub(hold, 2))
  elseif not redis.call('ZSCORE', todo, key) then
    redis.call('ZADD', todo, 0, key)
  end
end

if #wardEntries > 0 then
  redis.call('RPUSH', wardLog, unpack(wardEntries))
  redis.call('SET', wardSnapshot, wardAfter)
end

for _, change in ipairs(changes) do
  local moved = redis.call(change.listed and 'SADD' or 'SREM', lines, change.id) == 1
  if #change.entries > 0 then
    redis.call('RPUSH', change.log, unpack(change.entries))
    redis.call('SET', change.snapshot, change.after)
  end
  if change.placing ~= '' then redis.call('HSET', placings, change.id, change.placing) end
  if (moved or change.touch or #change.entries > 0) and not touchAll then
    for _, key in ipairs(redis.call('SMEMBERS', change.posts)) do
      if redis.call('HEXISTS', out, key) == 1 then touch(key) else redis.call('SREM', change.posts, key) end
    end
  end
end
if #forget > 0 then redis.call('HDEL', placings, unpack(forget)) end
if touchAll then
  for _, key in ipairs(redis.call('HKEYS', out)) do touch(key) end
end

local before = redis.call('ZRANGE', due, 0, 0, 'WITHSCORES')[2] or ''
for index = 1, #wakes, 2 do
  if wakes[index + 1] == '' then
    redis.call('ZREM', due, wakes[index])
  else
    redis.call('ZADD', due, wakes[index + 1], wakes[index])
  end
end
local after = redis.call('ZRANGE', due, 0, 0, 'WITHSCORES')[2] or ''

for _, post in ipairs(posts) do
  redis.call('HSET', out, post.key, post.row)
  redis.call('ZADD', todo, 0, post.key)
  for _, key in ipairs(post.sets) do redis.call('SADD', KEYS[tonumber(key)], post.key) end
end

if once ~= '' then
  redis.call('SADD', onceToday, once)
  redis.call('EXPIRE', onceToday, onceSeconds)
end
return { 'written', before, after }
