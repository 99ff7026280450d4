import { workerData } from 'node:worker_threads';

// Stands in for the audit's program in tests of how it ends: by throwing, by leaving, or never.
const { wardId } = workerData as { wardId: string };
if (wardId === 'throws') throw new Error('the thread threw');
if (wardId === 'leaves') process.exit(3);
setInterval(() => {}, 1_000);
