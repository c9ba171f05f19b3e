import type { Format } from '../format.js';

/** For a browser: a page of each asset with drawings and a live view, and an index of several. */
export const html: Format = {
  name: 'html',
  endings: ['html'],
  needs: ['pictures'],
  async open(head, context) {
    return (await import('../html-output.js')).openHtml(head, context);
  },
};
