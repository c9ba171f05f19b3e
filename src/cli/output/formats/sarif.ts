import type { Format } from '../format.js';

export const sarif: Format = {
  name: 'sarif',
  endings: ['sarif'],
  tells: 'For services that show a finding at its place in a file: SARIF 2.1.0.',
  needs: ['content'],
  leads: true,
  options: [
    {
      key: 'sarifFor',
      flags: '--sarif-for <consumer>',
      help: 'Who reads the SARIF file. "standard" follows the standard exactly. "code-scanning" is for hosted code scanning, which needs a line for every result.',
      choices: ['standard', 'code-scanning'],
      refusal: '--sarif-for is for SARIF only; add --format sarif',
    },
    {
      key: 'base',
      flags: '--base <dir>',
      help: 'Paths in SARIF are relative to this folder, such as the root of the repository. Default: the working folder.',
      refusal: '--base is for the paths in SARIF only; add --format sarif',
    },
  ],
  async open(head, { flags, settings, texts, io }) {
    const { writeSarif } = await import('../../../report/sarif.js');
    const { collected } = await import('../../../report/report-stream.js');
    const { baseNames } = await import('../../paths/base-folder.js');
    const { handbookPlace } = await import('../handbook-place.js');
    // A file has no address that stands by itself.
    const helpUri = handbookPlace(flags, settings, io)?.anywhere ?? null;
    const options = {
      target: flags.sarifFor ?? 'standard',
      textOf: (asset: string): string | null => texts.get(asset) ?? null,
      base: io.cwd,
      roots: baseNames(flags, io),
      helpUri,
    } as const;
    return collected(head, (report) => writeSarif(report, settings.known, options));
  },
};
