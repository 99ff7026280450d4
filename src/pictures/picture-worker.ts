import { parentPort, workerData } from 'node:worker_threads';
import { standBehind } from '../event-loop/thread-turns.ts';
import { drawn } from './drawn.ts';

standBehind();
const { svg } = workerData as { svg: string };
const image = drawn(svg);
const pngBytes = new Uint8Array(image.asPng());
parentPort?.postMessage({ pngBytes, widthPx: image.width, heightPx: image.height }, [pngBytes.buffer]);
