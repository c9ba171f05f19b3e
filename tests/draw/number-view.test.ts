import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { byJointAndRule } from '../../src/draw/joint-findings.js';
import { numberView } from '../../src/draw/number-view.js';
import { drawPictures } from '../../src/draw/pictures.js';
import { BOLD, textWidth } from '../../src/draw/text-size.js';
import { drawable, readSvg } from './drawn.js';

const faults = ['flipped-shin', 'crooked-neck', 'nameless-neck'].map(faultNamed);
const { scene, report } = await drawable(buildGlb('heron', { faults }));
const [view] = drawPictures(scene, report, true).views;
if (view === undefined) throw new Error('the heron is not drawn');
const { whole } = view;

function badgesWith(numbers: ReadonlyMap<string, number>) {
  const elements = readSvg(numberView(whole, byJointAndRule(report, 0, numbers)));
  const having = (look: string) =>
    elements.filter(({ attributes }) => attributes.class?.split(' ').includes(look) === true);
  const pills = having('drawing-badge').map(({ attributes: { x, width } }) => ({
    middle: Number(x) + Number(width) / 2,
    width: Number(width),
  }));
  return { pills, words: having('drawing-number').map(({ text }) => text) };
}

it('a joint has the number of each rule once, the least first, whatever the findings are numbered', () => {
  const twice = [...report.findings, ...report.findings];
  const numbers = new Map([
    ['name.missing', 1],
    ['axis.up', 2],
    ['axis.aim', 3],
  ]);
  const found = byJointAndRule({ ...report, findings: twice }, 0, numbers);
  expect(found.map((entry) => entry.numbers)).toEqual([[1, 3], [2]]);
  expect(badgesWith(numbers).words.sort()).toEqual(['1, 3', '2']);
});

it('a rule without a number has none in the drawing', () => {
  expect(badgesWith(new Map([['axis.up', 2]])).words.sort()).toEqual(['', '2']);
});

it('a badge grows about its middle for a number that no room was made for', () => {
  const small = badgesWith(new Map([['axis.up', 2]]));
  const large = badgesWith(new Map([['axis.up', 1234]]));
  const at = large.words.indexOf('1234');
  const [before, after] = [small.pills[at], large.pills[at]];
  expect(after?.width).toBeGreaterThan(textWidth('1234', 11) * BOLD);
  expect(before?.width).toBeLessThan(textWidth('1234', 11) * BOLD);
  expect(after?.middle).toBeCloseTo(before?.middle ?? Number.NaN, 0);
});

it('ten rules and more have room for two letters each', () => {
  const [finding] = report.findings.filter(({ rule }) => rule === 'axis.up');
  if (finding === undefined) throw new Error('no shin is rolled');
  const many = Array.from({ length: 10 }, (_, at) => ({ ...finding, rule: `axis.rule-${at}` }));
  const few = many.slice(0, 3);
  const widthOf = (findings: typeof many): number =>
    drawPictures(scene, { ...report, findings }, true).views[0]?.whole.badges[0]?.box.width ?? 0;
  const needed = (words: string): number => textWidth(words, 11) * BOLD;
  expect(widthOf(few)).toBeGreaterThan(needed('1, 2, 3'));
  expect(widthOf(many) - widthOf(few)).toBeCloseTo(needed('10, 10, 10 +7') - needed('1, 1, 1'), 6);
});
