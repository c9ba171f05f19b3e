import { visible } from '../../report/visible.js';

/** Letters of a line of comment, without what stands before it. */
const WIDTH = 96;

/** Names in quotes, of which none can end a comment. */
export function quotedList(names: readonly string[], most: number): string {
  const shown = names.slice(0, most).map((name) => visible(JSON.stringify(name)));
  const more = names.length - shown.length;
  return shown.join(', ') + (more > 0 ? ` and ${more} more` : '');
}

/** A text as lines of comment, broken at spaces. */
export function commentLines(text: string): string[] {
  const lines: string[] = [];
  let line = '//';
  for (const word of visible(text).split(' ')) {
    if (line.length + word.length > WIDTH && line !== '//') {
      lines.push(line);
      line = '//  ';
    }
    line += ` ${word}`;
  }
  return [...lines, line];
}
