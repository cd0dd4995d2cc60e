// Loaded before a program: as it ends, writes the most memory it held, in bytes, to a file.
import { writeFileSync } from 'node:fs';

const file = process.env.ORBREEL_BENCH_PEAK;
process.on('exit', () => {
  if (file) writeFileSync(file, String(process.resourceUsage().maxRSS * 1024));
});
