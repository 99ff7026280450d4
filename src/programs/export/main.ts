import { runCommand } from '../command-stop.ts';
import { exportCommand } from './export-command.ts';

await runCommand(exportCommand);
