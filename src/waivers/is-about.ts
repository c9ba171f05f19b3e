import type { PlaceReport } from '../report/report-types.js';

/** How the path of a joint that is called `*` is written. */
export const STAR_ITSELF = '\\*';

/** Whether a waiver's joint is a place. */
export function isAbout(joint: string | null, place: Pick<PlaceReport, 'kind' | 'path'>): boolean {
  if (joint === null) return true;
  if (joint === '*') return place.kind === 'joint';
  return place.path === (joint === STAR_ITSELF ? '*' : joint);
}
