// Source: XML 1.0 as libxml2 reads it (npm `libxml2-wasm`). The two hands come from npm
// `@webxr-input-profiles/assets`, profile generic-hand; nobody here made them.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed, plainFaults } from '../../fixtures/faults/index.js';
import { drawingCss } from '../../src/draw/drawing-css.js';
import { drawPictures } from '../../src/draw/pictures.js';
import { drawSheet } from '../../src/draw/sheet.js';
import { hostileReport, RUNS } from '../property/hostile-names.js';
import { approvedOf } from '../support/approved-of.js';
import { HAND_SIDES, handBytes } from '../support/hands.js';
import { chainJoints, tinyGlb } from '../support/tiny-rig.js';
import {
  type Drawable,
  drawable,
  hasClass,
  numbersIn,
  type ReadElement,
  readSvg,
} from './drawn.js';
import { cube } from './tiny-things.js';

const known = new Set(
  [...drawingCss(true).matchAll(/\.(drawing[a-z-]*)/g)].map((match) => match[1]),
);
/** Named for pages, which may set their size; they need no rule. */
const UNSTYLED = ['drawing-sheet', 'drawing-finding', 'drawing-small', 'drawing-text'];

/** Names of classes that a rule is there for, or that need none. */
const CLASSES = new Set([...known, ...UNSTYLED]);

/** Elements that run, load or lead out. */
const ACTIVE = ['script', 'image', 'a', 'foreignObject', 'img'];

/** What viewers and pages would not take in an element, in words. */
function faultsOf({ name, attributes, text }: ReadElement, ids: ReadonlySet<string>): string[] {
  const faults = ACTIVE.includes(name) ? [`is <${name}>`] : [];
  for (const [key, value] of Object.entries(attributes)) {
    if (/^on|style|^src$/.test(key)) faults.push(`has ${key}`);
    // Names may hold anything as words; nothing may lead out.
    if (key !== 'aria-label' && /url\(|:\/\/|data:|javascript:/.test(value))
      faults.push(`${key} leads to ${value}`);
  }
  for (const one of (attributes.class ?? '').split(' '))
    if (one !== '' && !CLASSES.has(one)) faults.push(`has the class ${one}`);
  if (name === 'style' && /url\(|@import|https?:/.test(text)) faults.push('styles lead out');
  if (attributes.id?.startsWith('drawing-') === false) faults.push(`has the id ${attributes.id}`);
  if (name === 'use' && !ids.has(attributes.href?.slice(1) ?? ''))
    faults.push(`uses ${attributes.href}, which is not there`);
  return faults;
}

/** Holds everything that is drawn of an asset to what viewers and pages ask, and gives its sheet. */
function expectDrawn({ scene, report }: Drawable): ReadElement[] {
  const sheet = drawSheet(scene, report);
  const pictures = drawPictures(scene, report);
  const page = `<div>${[
    pictures.defs,
    ...pictures.sheets,
    ...pictures.findings.filter((picture) => picture !== null),
    pictures.silhouette,
  ].join('')}</div>`;
  const drawn = [sheet, page].map(readSvg);
  for (const elements of drawn) {
    const numbers = numbersIn(elements);
    expect(numbers.filter((number) => !Number.isFinite(Number(number)))).toEqual([]);
    const ids = elements.flatMap(({ attributes }) => attributes.id ?? []);
    const single = new Set(ids);
    expect(single.size).toBe(ids.length);
    // One assertion for thousands of elements: each costs as much as reading a drawing.
    expect(elements.flatMap((element) => faultsOf(element, single))).toEqual([]);
    // A window is a part of a drawing, which has the words.
    const shown = elements.filter(
      (one) =>
        one.name === 'svg' &&
        !['drawing-defs', 'drawing-window'].some((part) => hasClass(one, part)),
    );
    for (const { attributes } of shown) {
      expect(attributes.role).toBe('img');
      expect(attributes['aria-label']).not.toBe('');
    }
  }
  expect(pictures.findings).toHaveLength(report.findings.length);
  expect(Buffer.byteLength(pictures.silhouette)).toBeLessThanOrEqual(6 * 1024);
  return drawn[0] ?? [];
}

it.each(castNames)('%s is drawn as well-formed SVG', async (name) => {
  expectDrawn(await drawable(buildGlb(name)));
});

/** The first of each rule: what is drawn of a finding is the same for all that its rule finds. */
const drawnFaults = plainFaults.filter(
  (fault) => plainFaults.find(({ rule }) => rule === fault.rule) === fault,
);

it.each(drawnFaults.map((fault) => [fault.name, fault] as const))(
  'a puppet with %s is drawn as well-formed SVG, every finding told by its number',
  async (_, fault) => {
    const bytes = buildGlb(fault.puppet, {
      faults: [fault],
      ...(fault.weights === undefined ? {} : { weights: fault.weights }),
    });
    const drawn = await drawable(bytes, 'puppet.glb', { motion: fault.rule.startsWith('motion') });
    const texts = expectDrawn(drawn).map(({ text }) => text);
    drawn.report.findings.forEach(({ rule, level }, index) => {
      expect(texts).toContain(String(index + 1));
      expect(texts).toContain(`${level} ${rule}`);
    });
  },
);

it.each(HAND_SIDES)('the generic %s hand is drawn as well-formed SVG', async (side) => {
  expectDrawn(await drawable(handBytes(side)));
});

const HOSTILE: Readonly<Record<string, string>> = {
  markup: '<img src=x onerror=alert(1)>',
  'an end of a script': '</script><script>alert(1)</script>',
  'an end of a style': '</style>]]><!--',
  'letters that reorder': 'left\u202e\u2066thgir\u200f',
  'control characters': '\u0000\u0007\u001b[31mred\ufffe\uffff',
  'ten thousand letters': 'w'.repeat(10_000),
  'nothing at all': '',
  'quotes and entities': '"\'&amp;&#0;',
  'half a pair': '\ud83c',
};

describe.each(Object.entries(HOSTILE))('a rig whose names are %s', (_, name) => {
  it('is drawn as well-formed SVG that shows no control and no markup of the name', async () => {
    const bytes = tinyGlb(chainJoints(CHAIN), cube(0.1), (json) => {
      for (const node of json.nodes) node.name = name;
    });
    const drawn = await drawable(bytes, `${name}.glb`);
    // The rule about names speaks, so that the name is in the findings, too.
    expect(drawn.report.findings.length).toBeGreaterThan(0);
    expectDrawn(drawn);
    const sheet = drawSheet(drawn.scene, drawn.report);
    const words = readSvg(sheet).filter((one) => ['text', 'tspan'].includes(one.name));
    expect(words.length).toBeGreaterThan(10);
    for (const { text } of words) {
      expect(text).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u202a-\u202e\u2066-\u2069\u200f]/);
    }
    expect(sheet.length).toBeLessThan(60_000);
  });
});

const CHAIN: [number, number, number][] = [
  [0, 0, 0],
  [0, 1, 0],
  [0, 2, 0],
];

it('a puppet over the approved one is drawn as well-formed SVG', async () => {
  const approved = await approvedOf(buildGlb('heron'));
  const bytes = buildGlb('heron', { faults: [faultNamed('neck-in-the-air')] });
  const drawn = expectDrawn(await drawable(bytes, 'heron.glb', {}, approved));
  expect(drawn.filter((one) => hasClass(one, 'drawing-approved')).length).toBeGreaterThan(3);
});

it.each(['bind-matrix-not-a-number', 'too-few-bind-matrices', 'scattered-legs'])(
  'a puppet with %s is drawn as well-formed SVG over a sound one, and under it',
  async (name) => {
    const [odd, sound] = [buildGlb('heron', { faults: [faultNamed(name)] }), buildGlb('heron')];
    expectDrawn(await drawable(odd, 'heron.glb', {}, await approvedOf(sound)));
    expectDrawn(await drawable(sound, 'heron.glb', {}, await approvedOf(odd)));
  },
);

it('the same rig gives the same bytes', async () => {
  const first = await drawable(buildGlb('stag-beetle'));
  const second = await drawable(buildGlb('stag-beetle'));
  expect(drawSheet(second.scene, second.report)).toBe(drawSheet(first.scene, first.report));
  expect(drawPictures(second.scene, second.report)).toEqual(
    drawPictures(first.scene, first.report),
  );
});

it('whatever a report says, and however its names are made, the drawing is well-formed', async () => {
  const { scene } = await drawable(tinyGlb(chainJoints(CHAIN), cube(0.1)));
  fc.assert(
    fc.property(hostileReport, ({ assets }) => {
      for (const report of assets) expectDrawn({ scene, report });
    }),
    { ...RUNS, numRuns: 25 },
  );
}, 30_000);
