import { setFlagsFromString } from 'node:v8';

/**
 * To be called where many assets are to be expected, before they are looked for: reports pass through
 * this process and are gone, and room for more of them at once would only let it grow with the list.
 */
export function keepHeapSmall(): void {
  // Engines that do not know the flag go on without.
  setFlagsFromString('--semi-space-growth-factor=1');
}
