import fc from 'fast-check';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import {
  glbAsset,
  sampleFinding,
  sampleReport,
  sampleRig,
  unreadableAsset,
} from '../report/sample-report.js';
import { anyCharacter } from '../support/any-character.js';

export const RUNS = { seed: 20240229, numRuns: 200 };

const PIECES = [
  '|',
  '\\',
  '`',
  '``',
  '<',
  '>',
  '<b>',
  '</details>',
  '<!--',
  ']]>',
  '&',
  '&amp;',
  '&#0;',
  '"',
  "'",
  '[',
  ']',
  '](',
  '![',
  '*',
  '_',
  '~',
  '#',
  '#1',
  '@',
  '@mule',
  ':',
  '://',
  'https://',
  'www.',
  '.com',
  '::',
  '::error::',
  '##[error]',
  '##vso[x]',
  '##teamcity[',
  '=',
  '\uff1d',
  '\uff20',
  '+',
  '-',
  ',',
  ';',
  '\t',
  '\r',
  '\n',
  '\r\n',
  '\0',
  '\u001b',
  '\u202e',
  '\u2028',
  '\u00a0',
  '\ud83c',
  '\udfee',
  '\u{1F3EE}',
  '\ufffe',
  '\uffff',
  '\ufeff',
  ' ',
  '  ',
  'beak',
  '1.',
  '1234567',
  '__proto__',
  'true',
];

/** Names of pieces that mean something to some reader, and of any letters at all. */
export const hostileName: fc.Arbitrary<string> = fc.oneof(
  fc.array(fc.constantFrom(...PIECES), { maxLength: 8 }).map((pieces) => pieces.join('')),
  fc.string({ unit: anyCharacter, maxLength: 20 }),
);

/** A report in which everything that a file or a person names is such a name. */
export const hostileReport: fc.Arbitrary<Report> = fc
  .tuple(fc.array(asset(), { maxLength: 3 }), hostileName, failing())
  .map(([assets, standard, level]) => ({ ...sampleReport(assets), standard, failing: level }));

function failing(): fc.Arbitrary<Report['failing']> {
  return fc.constantFrom('error', 'warning', 'note', 'never');
}

function asset(): fc.Arbitrary<AssetReport> {
  const unreadable = fc
    .tuple(hostileName, hostileName, hostileName)
    .map((names) => unreadableAsset(...names));
  const read = fc
    .tuple(
      hostileName,
      fc.array(finding(), { maxLength: 4 }),
      fc.array(hostileName, { maxLength: 3 }),
    )
    .map(([path, findings, rigs]) => ({
      ...glbAsset(path, findings),
      rigs: rigs.map((name, index) => ({ ...sampleRig(), index, name })),
    }));
  return fc.oneof(unreadable, read);
}

function finding(): fc.Arbitrary<AssetReport['findings'][number]> {
  return fc
    .record({
      name: hostileName,
      level: fc.constantFrom('error', 'warning', 'note'),
      rig: fc.constantFrom(null, 0, 1, 2),
      rule: fc.constantFrom('axis.up', 'axis.mirror', 'skin.sum'),
      measured: fc.option(fc.double()),
      waived: fc.boolean(),
    })
    .map(({ name, waived, ...rest }) =>
      sampleFinding({
        ...rest,
        message: name,
        remedy: `Turn "${name}".`,
        consequences: [name],
        place: { name, path: name },
        ...(waived && { waived: { by: name, why: name, until: null } }),
      }),
    );
}
