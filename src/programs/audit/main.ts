import { runCommand } from '../command-stop.ts';
import { auditCommand } from './audit-command.ts';

await runCommand(auditCommand);
