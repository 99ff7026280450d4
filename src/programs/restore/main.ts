import { runCommand } from '../command-stop.ts';
import { restoreCommand } from './restore-command.ts';

await runCommand(restoreCommand);
