// A folder for what the tests leave behind: screenshots and the database.
import { mkdirSync } from 'node:fs';

export default function fresh(): void {
  mkdirSync(new URL('../test-results', import.meta.url), { recursive: true });
}
