import { visible } from '../report/visible.js';

/** One line that a terminal shows as it is written, of a length that can be read. */
export function shown(message: string): string {
  const cut = message.length > LONGEST ? `${message.slice(0, LONGEST)} ...` : message;
  return cut.split('\n').map(visible).join('\n');
}

/** Letters of a message on standard error. */
const LONGEST = 2000;
