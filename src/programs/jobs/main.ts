// A process that wakes wards and posts, and leaves the chat to others: it needs a REDIS_URL that both reach.
process.env.ROLES = 'jobs';
await import('../bot/main.ts');

export {};
