import { join } from 'node:path';
import { FEEDBACK, GRADEBOOK, type GradesFolder } from '../../grade/grades-folder.js';
import { wrapped } from '../../grade/wrapped.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';

/** Where everything was written, for the end of the summary. */
export function whereLines(
  { shown }: GradesFolder,
  submissions: number,
  pages: boolean,
  columns: number | null,
): string {
  const [book, texts] = [visible(join(shown, GRADEBOOK)), visible(join(shown, FEEDBACK))];
  const words = `${counted(submissions, 'submission')}. Gradebook: ${book}. Feedback: ${texts}.${pages ? ` Pages: ${visible(join(shown, 'index.html'))}.` : ''}`;
  return `${columns === null ? words : wrapped(words, columns, '', 0).join('\n')}\n`;
}
