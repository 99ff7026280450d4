import { inject } from 'vitest';

/** Asks shared-servers.ts for something by its name, and waits until it runs. */
export async function askShared(name: string): Promise<string> {
  const answer = await fetch(`http://127.0.0.1:${inject('sharedPort')}/${name}`);
  const said = await answer.text();
  if (!answer.ok) throw new Error(said);
  return said;
}
