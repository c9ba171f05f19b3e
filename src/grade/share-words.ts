/** `2 of 31 joints`, `1 of 1 node`. */
export function shareWords(part: number, looked: number, things: string): string {
  return `${part} of ${looked} ${looked === 1 ? singular(things) : things}`;
}

/** Of the plurals in `Things`. */
function singular(things: string): string {
  if (things === 'vertices') return 'vertex';
  if (things === 'matrices') return 'matrix';
  return things.replace(/s$/, '');
}
