-- Makes the wake index hold the members given, none of them later than given, and answers how many it had to put right.
-- An instant that stands earlier is left: the wake-up it brings finds nothing and sets the right one.
-- KEYS: due. ARGV: member and instant (ward ms) in turn.
local due = KEYS[1]
local wanted = {}
for index = 1, #ARGV, 2 do wanted[ARGV[index]] = ARGV[index + 1] end
local repaired = 0
local stored = redis.call('ZRANGE', due, 0, -1, 'WITHSCORES')
for index = 1, #stored, 2 do
  local member = stored[index]
  if wanted[member] == nil then
    redis.call('ZREM', due, member)
    repaired = repaired + 1
  elseif tonumber(stored[index + 1]) <= tonumber(wanted[member]) then
    wanted[member] = nil
  end
end
for member, at in pairs(wanted) do
  redis.call('ZADD', due, at, member)
  repaired = repaired + 1
end
return repaired
