-- Holds the first-ranked waiting post whose lane is free, and answers with it; else with when to ask again, and which other
-- parts have something ready.
-- KEYS: out, todo, held, sent, tries, lanes. ARGV: now, end of the hold, when the lane is free again (real ms), the part (empty: all),
-- and where the ward's channel is shut, ">" and a key: of the posts to it only those that don't stand yet and come after that one.
local out, todo, held, sent, tries, lanes = unpack(KEYS)
local now = tonumber(ARGV[1])
local wardAfter = string.match(ARGV[5], '^>(.*)$')

-- As `outboxPartOf` in ports.ts.
local function partOf(key)
  if not string.find(key, '^.%.handover%.') then return 'reminders' end
  return string.sub(key, 1, 1) == '7' and 'files' or 'handovers'
end

-- Whatever has waited long enough becomes ready; those ready share score 0 and so stand in the order of their keys.
for _, key in ipairs(redis.call('ZRANGEBYSCORE', todo, '(0', ARGV[1], 'LIMIT', 0, 1000)) do
  redis.call('ZADD', todo, 0, key)
end

local again
local ready = {}
-- The post to take: its key, row, where it stands, and its lane.
local function firstOf(keys)
  for _, key in ipairs(keys) do
    local part = partOf(key)
    local row = redis.call('HGET', out, key)
    if not row then
      redis.call('ZREM', todo, key)
      redis.call('HDEL', held, key)
    elseif ARGV[4] ~= '' and part ~= ARGV[4] then
      ready[part] = true
    else
      -- A row begins with the person it goes to, empty for the ward, and a line feed.
      local person = string.match(row, '^[^\n]*')
      local stands = redis.call('HGET', sent, key)
      if person ~= '' or not wardAfter or (not stands and key > wardAfter) then
        local lane = (stands and 'u|' or '') .. person
        local free = tonumber(redis.call('HGET', lanes, lane) or 0)
        if free <= now then return key, row, stands or '', lane end
        if not again or free < again then again = free end
      end
    end
  end
end

local first = redis.call('ZRANGEBYSCORE', todo, 0, 0, 'LIMIT', 0, 100)
local key, row, stands, lane = firstOf(first)
-- Many that wait for one lane mustn't hide a post whose lane is free: if there are more, all are looked through.
if not key and #first == 100 then
  key, row, stands, lane = firstOf(redis.call('ZRANGEBYSCORE', todo, 0, 0))
end
if key then
  redis.call('ZADD', todo, ARGV[2], key)
  redis.call('HSET', lanes, lane, ARGV[3])
  redis.call('HSET', held, key, '0 ' .. ARGV[3] .. ' ' .. lane)
  return { 'taken', row, stands, redis.call('HGET', tries, key) or '' }
end

local waiting = tonumber(redis.call('ZRANGEBYSCORE', todo, '(0', '+inf', 'WITHSCORES', 'LIMIT', 0, 1)[2])
if waiting and (not again or waiting < again) then again = waiting end
local parts = {}
for part in pairs(ready) do parts[#parts + 1] = part end
return { 'none', again and string.format('%.0f', again) or '', table.concat(parts, ' ') }
