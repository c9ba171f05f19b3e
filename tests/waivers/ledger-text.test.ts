import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { parseHouseText } from '../../src/house/house-file.js';
import type { WaiverText } from '../../src/waivers/ledger.js';
import { changedText, STARTING_LEDGER } from '../../src/waivers/ledger-text.js';
import { parseLedger } from '../../src/waivers/read-ledger.js';
import { waiverLine } from '../../src/waivers/waiver-line.js';
import { anyCharacter } from '../support/any-character.js';

const added = (count = 1, change: Partial<WaiverText> = {}): WaiverText[] =>
  Array.from({ length: count }, (_, at) => ({
    rule: 'axis.up',
    asset: `mule_${at}.glb`,
    joint: null,
    why: 'a hinge',
    by: 'prop room',
    until: null,
    ...change,
  }));
const add = (text: string, waivers: readonly WaiverText[]): string =>
  changedText(parseHouseText(text, 'the ledger'), { instead: new Map(), added: waivers });
const ONE = '{ "rule": "axis.aim", "asset": "heron.glb", "why": "a crank", "by": "prop room" }';

describe('waivers added to a ledger', () => {
  it('go to the end of the list, one a line, and all else stays as it is', () => {
    const text = `// The theatre's ledger.
{
  "waivers": [
    // Left by the old workshop.
    ${ONE}, // until it is rebuilt
    /* the mule */ ${ONE} // never bends
    // more below
  ] // the end
}
`;
    expect(add(text, added(2))).toMatchInlineSnapshot(`
      "// The theatre's ledger.
      {
        "waivers": [
          // Left by the old workshop.
          { "rule": "axis.aim", "asset": "heron.glb", "why": "a crank", "by": "prop room" }, // until it is rebuilt
          /* the mule */ { "rule": "axis.aim", "asset": "heron.glb", "why": "a crank", "by": "prop room" }, // never bends
          // more below
          { "rule": "axis.up", "asset": "mule_0.glb", "why": "a hinge", "by": "prop room" },
          { "rule": "axis.up", "asset": "mule_1.glb", "why": "a hinge", "by": "prop room" }
        ] // the end
      }
      "
    `);
  });

  it.each([
    ['a list just begun', STARTING_LEDGER],
    ['an empty list on one line', '{"waivers":[]}'],
    ['a full list on one line', `{"waivers":[${ONE}]}`],
    ['a comma at the end', `{ "waivers": [ ${ONE}, ] }`],
    ['a comma after a comment', `{ "waivers": [ ${ONE} /* , */ , // ,\n ] }`],
    ['a comment and no waiver', '{ "waivers": [ // none yet\n ] }'],
    ['a comment with a bracket', `{ "waivers": [ ${ONE} // ]\n ] }`],
    ['lines that end in CR LF', `{\r\n\t"waivers": [\r\n\t\t${ONE}\r\n\t]\r\n}\r\n`],
    ['a byte order mark', `\uFEFF{ "waivers": [] }`],
  ])('can be read back after %s', (_, text) => {
    const before = parseLedger(text, 'house.json', '/', rules).waivers.length;
    const written = add(text, added(3));
    const { waivers } = parseLedger(written, 'house.json', '/', rules);
    expect(waivers.slice(before).map(({ asset }) => asset)).toEqual([
      'mule_0.glb',
      'mule_1.glb',
      'mule_2.glb',
    ]);
    expect(waivers).toHaveLength(before + 3);
    // Only a comma, the new lines and white space are new.
    const rest = added(3).reduce((left, waiver) => left.replace(waiverLine(waiver), ''), written);
    expect(rest.replace(/[\s,]/g, '')).toBe(text.replace(/[\s,]/g, ''));
    if (text.includes('\r\n')) expect(written.replaceAll('\r\n', '')).not.toContain('\n');
  });

  it('read back the same whatever their letters, with none that hides or turns text', () => {
    const words = fc
      .string({ unit: anyCharacter, minLength: 1, maxLength: 20 })
      .map((made) => `n${made}`);
    fc.assert(
      fc.property(words, words, words, (why, by, joint) => {
        const line = waiverLine({
          ...added()[0],
          rule: 'axis.up',
          asset: 'a',
          why,
          by,
          joint,
          until: null,
        });
        expect(JSON.parse(line)).toEqual({ rule: 'axis.up', asset: 'a', joint, why, by });
        expect(line).not.toMatch(
          /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/,
        );
      }),
      { seed: 24, numRuns: 500 },
    );
  });

  it('leave the text alone when there are none', () => {
    expect(add(STARTING_LEDGER, [])).toBe(STARTING_LEDGER);
  });
});

/** What a ledger that was put together here holds. */
interface Listed {
  readonly waivers: readonly { readonly asset: string }[];
}

/** White space, and a comment now and then. */
const gap = fc.constantFrom('', ' ', '\n', '\n  ', ' /* a, { } ] */ ', ' // why, { ]\n', '\r\n\t');

describe('a ledger that is changed', () => {
  it('keeps every comment and every other waiver, whatever is replaced, taken out or added', () => {
    const items = fc.array(
      fc.record({
        before: gap,
        after: gap,
        what: fc.constantFrom('kept', 'gone', 'replaced', 'split'),
      }),
      { maxLength: 6 },
    );
    fc.assert(
      fc.property(items, gap, fc.boolean(), fc.nat(2), (list, end, comma, more) => {
        const body = list.map(({ before, after }, at) => {
          const last = at === list.length - 1;
          const line = waiverLine({ ...(added()[0] ?? never()), asset: `old_${at}.glb` });
          return `${before}${line}${after}${last && !comma ? '' : ','}`;
        });
        const text = `// head\n{ "waivers": [${body.join('')}${end}] } // foot\n`;
        const instead = new Map(
          list.flatMap(({ what }, at) => {
            if (what === 'kept') return [];
            const count = what === 'gone' ? 0 : what === 'replaced' ? 1 : 2;
            return [[at, added(count, { asset: `new_${at}.glb` })] as const];
          }),
        );
        const file = parseHouseText(text, 'the ledger');
        const written = changedText(file, { instead, added: added(more) });
        // The schema is looked at elsewhere, and takes longer.
        const { waivers } = parseHouseText(written, 'the ledger').value as Listed;
        const now = waivers.map(({ asset }) => asset);
        expect(now).toEqual([
          ...list.flatMap((_, at) => instead.get(at)?.map(({ asset }) => asset) ?? `old_${at}.glb`),
          ...added(more).map(({ asset }) => (more > 0 ? asset : '')),
        ]);
        const comments = (of: string): string[] => of.match(/\/\*.*?\*\/|\/\/[^\r\n]*/g) ?? [];
        expect(comments(written)).toEqual(comments(text));
        if (instead.size === 0 && more === 0) expect(written).toBe(text);
      }),
      { seed: 16, numRuns: 400 },
    );
  });

  it('loses the whole line of a waiver that stands on one of its own', () => {
    const text = `{\n  "waivers": [\n    // a\n    ${ONE},\n    ${ONE}, // b\n    ${ONE}\n  ]\n}\n`;
    const without = (index: number): string =>
      changedText(parseHouseText(text, 'the ledger'), {
        instead: new Map([[index, []]]),
        added: [],
      });
    expect(without(0)).toBe(text.replace(`    ${ONE},\n    ${ONE}, //`, `    ${ONE}, //`));
    expect(without(1)).toBe(text.replace(`    ${ONE}, // b`, '     // b'));
    expect(without(2)).toBe(text.replace(`    ${ONE}\n  ]`, '  ]'));
  });
});

function never(): never {
  throw new Error('no waiver');
}
