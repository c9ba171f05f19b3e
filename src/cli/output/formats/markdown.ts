import type { Format } from '../format.js';

export const markdown: Format = {
  name: 'markdown',
  endings: ['md'],
  tells: 'For a comment on a change: long lists are folded.',
  isUnescaped: true,
  async open(head) {
    const { writeMarkdown } = await import('../../../report/markdown.js');
    const { collected } = await import('../../../report/report-stream.js');
    return collected(head, writeMarkdown);
  },
};
