// Run as a process of its own by drawing.ts: a graphics driver that crashes ends only this one.
import { openContext } from '../../render/context.js';

try {
  const { info } = await openContext();
  process.stdout.write(JSON.stringify({ info }), () => process.exit());
} catch (error) {
  process.stdout.write(JSON.stringify({ problem: (error as Error).message }), () => process.exit());
}
