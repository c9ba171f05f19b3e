import type { Format } from '../format.js';

export const junit: Format = {
  name: 'junit',
  endings: ['xml'],
  tells: 'For build servers that list tests: a case for each rule of each rig.',
  needs: ['times'],
  async open(head) {
    return (await import('../../../report/junit.js')).junitStream(head);
  },
};
