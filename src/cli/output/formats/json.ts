import type { Format } from '../format.js';

/** For programs, and to be joined or waived from: all that was measured. */
export const json: Format = {
  name: 'json',
  endings: ['json'],
  needs: [],
  async open(head) {
    return (await import('../../../report/json.js')).jsonStream(head);
  },
};
