import { PassThrough } from 'node:stream';
import { expect, it } from 'vitest';
import { MendProgress } from '../../../src/cli/mend/mend-progress.js';

/** A terminal of so many columns, its text, and a clock that goes on when it is told to. */
function terminal(columns = 80, progress = true) {
  const stderr = new PassThrough();
  let milliseconds = 0;
  return {
    io: { stderr, progress, progressColumns: columns, clock: () => new Date(milliseconds) },
    pass: (time: number) => {
      milliseconds += time;
    },
    text: (): string => String(stderr.read() ?? ''),
  };
}

it('says nothing in the first second, then the asset, the step and how far its proof is', () => {
  const { io, pass, text } = terminal();
  const progress = new MendProgress(1, io, true);
  pass(900);
  progress.at({ name: 'heron.glb', step: 'holders', share: 0.1 });
  expect(text()).toBe('');
  pass(200);
  progress.at({ name: 'heron.glb', step: 'holders', share: 0.457 });
  expect(text()).toBe('\r\u001b[KMending heron.glb, holders, proof 45 %');
  progress.clear();
  expect(text()).toBe('\r\u001b[K');
});

it('of many says how many are done, and how many of them are not sound', () => {
  const { io, pass, text } = terminal();
  const progress = new MendProgress(60, io, true);
  pass(1100);
  progress.done('mule.glb', true);
  expect(text()).toBe('\r\u001b[KMended 1 of 60: mule.glb');
  pass(200);
  progress.done('heron.glb', false);
  expect(text()).toBe('\r\u001b[KMended 2 of 60, 1 not sound: heron.glb');
});

it('draws ten lines a second at most, each within the terminal and without controls', () => {
  const { io, pass, text } = terminal(60);
  const progress = new MendProgress(1, io, true);
  pass(1100);
  const step = { name: `${'stage/'.repeat(20)}he\u001bron.glb`, step: 'holders', share: 1 };
  for (let at = 0; at < 5; at++) progress.at(step);
  const lines = text().split('\r\u001b[K').slice(1);
  expect(lines).toHaveLength(1);
  expect(lines[0]?.length).toBeLessThan(60);
  expect(lines[0]).toMatch(/^Mending \.\.\..*\\u001bron\.glb, holders, proof 100 %$/);
});

it.each([
  { isShown: false, progress: true },
  { isShown: true, progress: false },
])('is not drawn with --quiet, nor where there is no terminal: $isShown $progress', (how) => {
  const { io, pass, text } = terminal(80, how.progress);
  const progress = new MendProgress(1, io, how.isShown);
  pass(5000);
  progress.at({ name: 'heron.glb', step: 'holders', share: 0.5 });
  progress.clear();
  expect(text()).toBe('');
});
