import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, test } from 'vitest';

interface NodeRuntime {
  refuseOldNode: (version: string) => void;
}

const file = path.resolve(import.meta.dirname, '../../src/bootstrap/node-runtime.mjs');
const { refuseOldNode }: NodeRuntime = await import(pathToFileURL(file).href);

describe('refuseOldNode', () => {
  test.each(['20.0.0', '20.20.2', '22.1.0', '24.21.0', '26.0.0'])('lets Node %s set things up', (version) => {
    expect(() => refuseOldNode(version)).not.toThrow();
  });

  test.each(['18.20.4', '19.9.0', '8.0.0'])('refuses Node %s and says which is needed', (version) => {
    expect(() => refuseOldNode(version)).toThrow(
      `This is Node ${version}, and Node 20 or newer is needed to set things up: install a newer Node.js (https://nodejs.org) and run this again.`,
    );
  });
});
