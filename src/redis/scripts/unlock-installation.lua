-- Gives a lock back where it is still one's own. KEYS: the lock. ARGV: whose it is.
if redis.call('GET', KEYS[1]) == ARGV[1] then redis.call('DEL', KEYS[1]) end
return 1
