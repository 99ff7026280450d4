-- Keeps the same under another seal, unless it was changed meanwhile. KEYS: the installation. ARGV: the seal before, and after.
if redis.call('HGET', KEYS[1], 'sealed') ~= ARGV[1] then return 0 end
redis.call('HSET', KEYS[1], 'sealed', ARGV[2])
return 1
