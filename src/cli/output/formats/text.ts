import type { Format } from '../format.js';

export const text: Format = {
  name: 'text',
  endings: ['txt'],
  tells: 'For a person: the tree of joints, with every finding at its joint.',
  isUnescaped: true,
  isRead: true,
  async open(head, { flags, settings, io, target: { path } }) {
    const { textStream } = await import('../../../report/text.js');
    const { familiesRun } = await import('../../../check/make-report.js');
    const colour =
      flags.colour === 'always' || (flags.colour === 'auto' && io.colour && path === null);
    const paint = colour
      ? (await import('../../../report/colours.js')).COLOURS
      : (await import('../../../report/paint.js')).PLAIN;
    return textStream(head, {
      columns: path === null && io.columns !== null ? Math.min(io.columns, 100) : 80,
      paint,
      quiet: flags.quiet === true,
      eachRule: flags.eachRule === true,
      showWaivers: flags.showWaivers === true,
      allFamilies: familiesRun({ ...settings, rules: settings.known }).length,
    });
  },
};
