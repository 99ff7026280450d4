-- Keeps a renewed token, unless the installation is another by now or a token that lasts longer is kept.
-- KEYS: the installation. ARGV: which installing it comes from, when the token runs out (ms, or empty), the sealed text.
if redis.call('HGET', KEYS[1], 'since') ~= ARGV[1] then return 0 end
local stands = tonumber(redis.call('HGET', KEYS[1], 'expiresAt'))
local comes = tonumber(ARGV[2])
if stands and comes and stands >= comes then return 0 end
redis.call('HSET', KEYS[1], 'sealed', ARGV[3], 'expiresAt', ARGV[2])
return 1
