// Source: XML 1.0 as libxml2 reads it (npm `libxml2-wasm`).
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { DRAWING_CSS } from '../../../src/draw/drawing-css.js';
import { changeWords, scaleWords } from '../../../src/draw/mended/change-words.js';
import { curlPairs } from '../../../src/draw/mended/curl-pairs.js';
import { drawFrames } from '../../../src/draw/mended/frame-picture.js';
import { drawMendSheet } from '../../../src/draw/mended/mend-sheet.js';
import { MENDED_CSS } from '../../../src/draw/mended/mended-css.js';
import { layoutPair } from '../../../src/draw/mended/pair-views.js';
import { drawProofPlot, PLOT_SIZE } from '../../../src/draw/mended/proof-plot.js';
import { LARGEST_SHIFT } from '../../../src/mend/proof/proof-limits.js';
import { storyOf } from '../../support/mend-story.js';
import { hasClass, numbersIn, readSvg } from '../drawn.js';

const faulty = (name: string): Uint8Array => {
  const fault = faultNamed(name);
  return buildGlb(fault.puppet, { faults: [fault] });
};

/** One joint of the heron is turned by half a turn about its bone. */
const flipped = await storyOf(faulty('flipped-shin'));

describe('joints that a mend changed', () => {
  it('are those whose frames are others, with the angle that they turned by', () => {
    const [pair, ...others] = flipped.story.pairs;
    expect(others).toEqual([]);
    const changed = pair?.changed.map(({ number, name, turned, moved }) => ({
      number,
      name,
      turned: Number(turned.toFixed(2)),
      moved: Number(moved.toFixed(5)),
    }));
    expect(changed).toEqual([{ number: 1, name: 'shin_L', turned: 180, moved: 0 }]);
    expect(pair?.changed.map(changeWords)).toEqual([['axes turned by 180°']]);
    expect(pair && scaleWords(pair)).toBeNull();
  });

  it('curl as frames carried along the chain would, after the mend and not before', () => {
    const [pair] = flipped.story.pairs;
    const curls = pair === undefined ? [] : curlPairs(pair);
    expect(curls).toHaveLength(1);
    const [curl] = curls;
    expect(curl?.names[0].ends).toContain('thigh_L');
    expect(curl?.before.drift).toBeGreaterThan(0.5);
    expect(curl?.after.drift).toBeLessThan(1e-5);
    expect(curl?.after.letter).toBe(curl?.before.letter);
    expect(curl?.after.sights).toBe(curl?.before.sights);
  });

  it('that were on another axis curl in place after the mend, seen from where they did not', async () => {
    const { story } = await storyOf(faulty('rings-on-another-axis'));
    const [curl, ...others] = story.pairs.flatMap((pair) => curlPairs(pair));
    expect(others).toEqual([]);
    expect(curl?.before.drift).toBeGreaterThan(0.3);
    expect(curl?.after.drift).toBeLessThan(1e-5);
    expect(curl?.after.carried.length).toBe(curl?.before.carried.length);
  });

  it('have new names and new parents, and are no joints any more, in words', () => {
    const kept = {
      number: 1,
      before: 0,
      after: 0,
      name: 'neck',
      path: 'body/neck',
      renamed: null,
      turned: 0,
      moved: 0,
      scaled: 1,
      rehung: null,
      aim: [null, null],
    } as const;
    expect(changeWords({ ...kept, renamed: 'neck_low', rehung: ['body', null] })).toEqual([
      'hangs on no joint, not on "body"',
      'is called "neck_low" now',
    ]);
    expect(changeWords({ ...kept, moved: 0.012, scaled: 2 })).toEqual([
      'place moved by 1.2 % of the size of the rig',
      'axes 2 times as long',
    ]);
    expect(changeWords({ ...kept, after: -1 })).toEqual(['is no joint of the skin any more']);
    expect(changeWords({ ...kept, before: -1 })).toEqual(['is a joint now']);
  });

  it('that moved are drawn with the way from where they were, after the mend alone', async () => {
    const options = { restFrom: 'bind', allow: ['rest.bind'] } as const;
    const { story } = await storyOf(faulty('bent-elbow'), options);
    const [pair] = story.pairs;
    const moved = pair?.changed.find((joint) => joint.moved > 0.01);
    if (pair === undefined || moved === undefined) throw new Error('a joint moves');
    expect(changeWords(moved).join()).toMatch(/place moved by [\d.]+ % of the size of the rig/);
    const [before, after] = drawFrames(moved, layoutPair(pair, 700), () => null);
    expect([before, after].map((svg) => svg?.includes('drawing-dashed'))).toEqual([false, true]);
    const [turned] = flipped.story.pairs;
    const [joint] = turned?.changed ?? [];
    if (turned === undefined || joint === undefined) throw new Error('a joint is turned');
    const still = drawFrames(joint, layoutPair(turned, 700), () => null);
    expect(still.map((svg) => svg?.includes('drawing-dashed'))).toEqual([false, false]);
    expect(still[0]).not.toBe(still[1]);
  });

  it('are not all of a rig where a scale above them is taken out', async () => {
    const { story } = await storyOf(faulty('scaled-holder'));
    const [pair] = story.pairs;
    expect(pair && scaleWords(pair)).toMatch(/^As stored, the axes of all joints are 100 times/);
    expect(pair?.changed).toEqual([]);
  });
});

describe('the sheet of a mend', () => {
  const sheet = drawMendSheet(flipped.story);
  const elements = readSvg(sheet);
  const words = elements
    .filter(({ name }) => name === 'text' || name === 'tspan')
    .map(({ text }) => text);

  it('is well-formed SVG with numbers alone where places are, classes that have rules, and nothing from outside', () => {
    expect(numbersIn(elements).filter((number) => !Number.isFinite(Number(number)))).toEqual([]);
    const known = new Set(
      [...`${DRAWING_CSS}${MENDED_CSS}`.matchAll(/\.(drawing[a-z-]*)/g)].map(([, name]) => name),
    );
    const used = elements.flatMap(({ attributes }) => (attributes.class ?? '').split(' '));
    expect([...new Set(used)].filter((name) => name !== '' && !known.has(name)).sort()).toEqual([
      'drawing-plot',
      'drawing-text',
    ]);
    expect(sheet).not.toMatch(/<script|<image|url\(|href=/);
  });

  it('tells both verdicts, the proof, the joint and the finding that is gone', () => {
    const { proof, findings } = flipped.story;
    expect(words).toContain(
      'unsound before, sound after. Findings: 1 gone, 0 left, 0 new. The rig looks the same in every pose.',
    );
    expect(words.join(' ')).toContain(proof.words.slice(0, 60));
    expect(words).toContain('shin_L');
    expect(words).toContain('axes turned by 180°');
    expect(words).toContain('Findings that are gone: 1');
    expect(words).toContain(`error ${findings.gone[0]?.rule}`);
    for (const title of ['Before', 'After']) expect(words).toContain(title);
  });

  it('numbers the changed joint in both views of both sides, and gives no other joint axes', () => {
    const numbers = elements.filter((one) => hasClass(one, 'drawing-number'));
    expect(numbers.map(({ text }) => text)).toEqual(['1', '1', '1', '1']);
    const letters = elements.filter((one) => hasClass(one, 'drawing-letter'));
    expect(
      letters
        .map(({ text }) => text)
        .sort()
        .join(''),
    ).toBe('XXXXYYYYZZZZ');
  });

  it('is the same bytes for the same mend', async () => {
    expect(drawMendSheet((await storyOf(faulty('flipped-shin'))).story)).toBe(sheet);
  });

  it('is well-formed whatever names hold', async () => {
    const { story } = flipped;
    const name = '</text><script>"\u202e&\u0000';
    const hostile = {
      ...story,
      file: name,
      pairs: story.pairs.map((pair) => ({
        ...pair,
        name,
        changed: pair.changed.map((joint) => ({ ...joint, name, path: name, renamed: name })),
      })),
      proof: {
        ...story.proof,
        clips: story.proof.clips.map((clip) => ({ ...clip, name, where: name })),
      },
    };
    const read = readSvg(drawMendSheet(hostile));
    expect(read.filter((element) => element.name === 'script')).toEqual([]);
  });
});

describe('the plot of a proof', () => {
  /** Heights of the line of the limit, and of the points of the curve. Picture units. */
  function plotted(shares: readonly number[]): { limit: number; line: number[]; words: string[] } {
    const samples = shares.map((share, at) => ({ time: at, share }));
    const elements = readSvg(drawProofPlot({ name: 'wade', samples }, LARGEST_SHIFT));
    const limit = elements.find(({ attributes }) => attributes.class === 'drawing-limit');
    const path = elements.find(({ attributes }) => attributes.class === 'drawing-solid');
    const d = path?.attributes.d ?? '';
    return {
      limit: Number(limit?.attributes.y1),
      line: [...d.matchAll(/[ML]\S+ (\S+?)(?=[ML]|$)/g)].map(([, y]) => Number(y)),
      words: elements.filter(({ name }) => name === 'text').map(({ text }) => text),
    };
  }

  it('draws a difference at the limit on the line of the limit, and a tenth of it a tenth power below', () => {
    const tenth = LARGEST_SHIFT / 10;
    const { limit, line, words } = plotted([LARGEST_SHIFT, tenth, tenth / 10, 0]);
    const [at = 0, below = 0, further = 0, floor = 0] = line;
    expect(at).toBeCloseTo(limit, 0);
    expect(further - below).toBeCloseTo(below - at, 0);
    expect(floor).toBeGreaterThan(further);
    expect(floor).toBeLessThan(PLOT_SIZE.height);
    expect(words).toEqual(expect.arrayContaining(['0.001 %', '0.0001 %', 'limit', '0 s', '3 s']));
  });

  it('has room above the limit for a change that was allowed, and for what is no number', () => {
    for (const most of [0.1, Infinity]) {
      const { limit, line } = plotted([0, most]);
      expect(line.every((y) => Number.isFinite(y) && y >= 0)).toBe(true);
      expect(line[1]).toBeLessThan(limit);
    }
  });

  it('thins thousands of samples and keeps the largest', () => {
    const shares = Array.from({ length: 5000 }, (_, at) => (at === 3333 ? LARGEST_SHIFT : 1e-8));
    const { limit, line } = plotted(shares);
    expect(line.length).toBeLessThanOrEqual(300);
    expect(Math.min(...line)).toBeCloseTo(limit, 0);
  });
});
