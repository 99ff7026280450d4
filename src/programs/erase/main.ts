import { runCommand } from '../command-stop.ts';
import { eraseCommand } from './erase-command.ts';

await runCommand(eraseCommand);
