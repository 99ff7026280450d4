import path from 'node:path';
import type { HealthHandler } from '../../observe/health-routes.ts';
import { practicePage } from '../../practice/page-routes.ts';
import type { Platform } from '../../practice/platform/platform.ts';
import { startPlatform } from '../../practice/platform/start-platform.ts';
import { practiceWardId, practiceWorld } from '../../practice/practice-world.ts';
import { emptyWard } from '../../redis/empty-ward.ts';
import type { RecordClient } from '../../redis/script.ts';
import type { Service } from '../../service/service.ts';
import type { Config } from '../config.ts';
import type { Stop } from './stops.ts';
import type { WardClock } from './ward-clock.ts';

/** Starts the stand-in for a chat platform with its page; `service` is asked for what it needs of the bot once that is up. */
export async function startPractice(
  config: Config,
  { clock, hurried }: WardClock,
  {
    routes,
    commands,
    service,
  }: { routes: HealthHandler; commands: RecordClient; service: () => Service | null },
  stops: Stop[],
): Promise<Platform> {
  const platform = await startPlatform({
    port: config.port,
    clock,
    world: practiceWorld({ zone: config.wardZone, command: config.command }),
    statePath: path.join(config.dataDir, 'practice', 'messages.jsonl'),
    ...(hurried ? { hurried } : {}),
    routes: (platform) => {
      const page = practicePage(platform, {
        clock,
        ...(hurried ? { hurried } : {}),
        nextEventAt: async () => (await service()?.nextEventAt()) ?? null,
        async emptyRecord() {
          await emptyWard(commands, practiceWardId);
          service()?.emptied(practiceWardId);
        },
      });
      return (request, response) => routes(request, response) || page(request, response);
    },
    deliverTo: 'socket',
  });
  stops.push({ what: 'practice ward', stop: () => platform.stop() });
  return platform;
}
