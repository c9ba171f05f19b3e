import type { Format } from '../format.js';

/** For a comment on a change. */
export const markdown: Format = {
  name: 'markdown',
  endings: ['md'],
  needs: [],
  isLines: true,
  async open(head) {
    const { writeMarkdown } = await import('../../../report/markdown.js');
    const { collected } = await import('../../../report/report-stream.js');
    return collected(head, (report) => writeMarkdown(report));
  },
};
