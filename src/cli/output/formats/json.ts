import type { Format } from '../format.js';

export const json: Format = {
  name: 'json',
  endings: ['json'],
  tells:
    'For programs, and for `trysquare merge` and `trysquare waive`: everything that was measured.',
  async open(head) {
    return (await import('../../../report/json.js')).jsonStream(head);
  },
};
