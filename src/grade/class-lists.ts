import { firstOf } from './class-words.js';
import type { Course } from './course.js';
import { lateWords } from './late.js';
import type { Row } from './submission.js';
import type { Swapped } from './swapped.js';

/** One list of names that a teacher looks through. */
export interface ClassList {
  readonly title: string;
  /** Names as they are, each with what is to be said of it, to stand right behind it. */
  readonly items: readonly { readonly name: string; readonly words: string }[];
  /** Whether each is a sentence, for a line of its own. */
  readonly isSentences?: boolean;
}

/** Who is late, and what became of each since the hand-in before; lists without a name are left out. */
export function classLists(rows: readonly Row[], course: Course | null): ClassList[] {
  const bare = ({ name }: { readonly name: string }): ClassList['items'][number] => ({
    name,
    words: '',
  });
  const ofKind = (kind: 'new' | 'same files'): Row[] =>
    rows.filter(({ since }) => since?.kind === kind);
  const perhaps = rows.flatMap(({ name }) => {
    const others = course?.perhaps.get(name) ?? [];
    return others.length === 0 ? [] : [{ name, words: ` (perhaps ${others.join(' or ')})` }];
  });
  const lists = [
    {
      title: 'Late, by the newest time of their files, which copying can change',
      items: rows.flatMap(({ name, late }) =>
        late > 0 ? [{ name, words: ` (${lateWords(late)})` }] : [],
      ),
    },
    { title: 'Not handed in again', items: course?.absent.map(bare) ?? [] },
    { title: 'The same files as before', items: ofKind('same files').map(bare) },
    { title: 'New', items: course === null ? [] : ofKind('new').map(bare) },
    {
      title: 'Perhaps the same under another name; give the file its old name to compare them',
      items: perhaps,
    },
    {
      title: 'What another handed in before',
      items: course?.swapped.map(swappedItem) ?? [],
      isSentences: true,
    },
  ];
  return lists.filter(({ items }) => items.length > 0);
}

/** Others that a line names. */
const MOST_OTHERS = 3;

function swappedItem({ name, isOneFile, of }: Swapped): ClassList['items'][number] {
  const others = firstOf(of, MOST_OTHERS, of.length > 2 ? ', ' : ' and ');
  return {
    name,
    words: ` has the ${isOneFile ? 'file' : 'files'} that ${others} handed in before`,
  };
}
