import type { Format } from '../format.js';

export const html: Format = {
  name: 'html',
  endings: ['html'],
  tells:
    'For a browser: a page for each asset, with drawings and a live view, and an index of several.',
  needs: ['pictures'],
  leads: true,
  async open(head, context) {
    return (await import('../html-output.js')).openHtml(head, context);
  },
};
