import type { Format } from '../format.js';

export const json: Format = {
  name: 'json',
  endings: ['json'],
  tells:
    'For programs, and for `trysquare merge` and `trysquare waive`: everything that was measured.',
  options: [
    {
      key: 'transforms',
      flags: '--transforms',
      help: 'In the JSON report, also list the bind and rest transforms of every joint, its frame, and every clip with its channels. This makes the report two to three times as long.',
      asksFor: 'transforms',
      refusal: '--transforms is for JSON only; add --format json',
    },
  ],
  async open(head) {
    return (await import('../../../report/json.js')).jsonStream(head);
  },
};
