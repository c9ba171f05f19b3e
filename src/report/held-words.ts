import type { MeasuredReport } from './report-types.js';

/** `20 of 20 joints`, `6 of 7 pairs; 1 told under another rule`: what of a rule held. */
export function heldWords({
  looked,
  short,
  elsewhere,
  of,
}: Extract<MeasuredReport, { readonly kind: 'judged' }>): string {
  const things = looked === 1 ? singular(of) : of;
  const told = elsewhere === 0 ? '' : `; ${elsewhere} reported by another rule`;
  // A finding with nothing looked at is one thing that fell short.
  return `${Math.max(0, looked - short - elsewhere)} of ${looked} ${things}${told}`;
}

/** Of the plurals in `Things`. */
export function singular(things: string): string {
  return things.endsWith('ices')
    ? things.replace(/ices$/, things === 'vertices' ? 'ex' : 'ix')
    : things.replace(/s$/, '');
}
