-- Erases an installation, unless another came meanwhile. KEYS: the installation. ARGV: which installing it comes from.
if redis.call('HGET', KEYS[1], 'since') ~= ARGV[1] then return 0 end
redis.call('DEL', KEYS[1])
return 1
