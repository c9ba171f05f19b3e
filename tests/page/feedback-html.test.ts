import { expect, it } from 'vitest';
import { type FeedbackDrawing, writeFeedbackPage } from '../../src/page/class/feedback-html.js';

const FIXES = 40;

/** The page of a feedback whose list has some items. */
function pageOf(count: number, drawing: Partial<FeedbackDrawing> = {}): string {
  const fixes = Array.from({ length: count }, (_, at) => [
    `### ${at + 1}. A joint that is rolled (\`axis.rule-${at + 1}\`)`,
    `Why it matters: ${'Joints that share an axis bend in one plane. '.repeat(9)}`,
    '- **error** at joint `body/neck`: it is rolled.',
  ]);
  const markdown = [
    '# `submission-01`',
    '**50.0 of 100 points.**',
    '## What to fix, in this order',
    ...fixes.flat(),
  ].join('\n\n');
  return writeFeedbackPage({
    name: 'submission-01',
    markdown,
    file: 'submission 01.md',
    drawings: [{ svg: '<svg></svg>', marks: [], unmarked: 0, ...drawing }],
    pages: [],
    tool: 'trysquare',
  });
}

it('what the list does not name is told by its numbers, which the drawing has as well', () => {
  const html = pageOf(FIXES);
  const shown = html.match(/<h3>\d+\. /g)?.length ?? 0;
  expect(html).toContain(`<ol start="${shown + 1}" class="rest">`);
  const named = shown + 12;
  const left = `and ${FIXES - named} more, numbers ${named + 1} to ${FIXES} in <a href="submission%2001.md">submission 01.md</a>.`;
  expect(html).toContain(left);
  expect(pageOf(named + 1)).toContain(`and 1 more, number ${named + 1} in <a `);
  expect(pageOf(named)).not.toContain(' more, number');
});

it('names of joints are told while there is room, one at least, and the others counted', () => {
  const linesOf = (...names: string[]): string | undefined =>
    /<ol class="marks"><li>(.*)<\/li><\/ol>/.exec(
      pageOf(1, { marks: [{ number: 7, rule: 'axis.up', names }] }),
    )?.[1];
  const line = (words: string): string =>
    `<span class="number">7</span> ${words} <code>axis.up</code>`;
  expect(linesOf('shin_L')).toBe(line('shin_L'));
  const half = 'x'.repeat(16);
  expect(linesOf(half, half)).toBe(line(`${half}, ${half}`));
  expect(linesOf(half, `${half}x`)).toBe(line(`${half} and 1 more`));
  expect(linesOf(half, 'neck', half)).toBe(line(`${half}, neck and 1 more`));
  expect(linesOf(half, 'neck_', half)).toBe(line(`${half} and 2 more`));
  expect(linesOf('y'.repeat(90), 'neck', 'tail')).toMatch(/>7<\/span> y+ … y+ and 2 more </);
  expect(linesOf('y'.repeat(90))).toMatch(/>7<\/span> y+ … y+ </);
});

it('joints that got no number are counted below the drawing', () => {
  expect(pageOf(1, { unmarked: 3 })).toContain('Without a number here: 3 more joints.');
  expect(pageOf(1, { unmarked: 1 })).toContain('Without a number here: 1 more joint.');
  expect(pageOf(1)).not.toContain('Without a number');
});
