import type { Format } from '../format.js';

/** For build servers that show tests: JUnit XML, a case a rule of each rig. */
export const junit: Format = {
  name: 'junit',
  endings: ['xml'],
  needs: ['times'],
  async open(head) {
    return (await import('../../../report/junit.js')).junitStream(head);
  },
};
