import { shortened } from '../report/finding-words.js';
import type { Course } from './course.js';
import { lateWords } from './late.js';
import type { Row } from './submission.js';

/** One list of names that a teacher looks through. */
export interface ClassList {
  readonly title: string;
  /** Names as they are, with what is to be said of each. */
  readonly items: readonly string[];
}

const NAME_LETTERS = 40;

/** Who is late, and what became of each since the hand-in before; lists without a name are left out. */
export function classLists(rows: readonly Row[], course: Course | null): ClassList[] {
  const nameOf = ({ name }: { readonly name: string }): string => shortened(name, NAME_LETTERS);
  const late = rows.filter((row) => row.late > 0);
  const ofKind = (kind: 'new' | 'same files'): Row[] =>
    rows.filter(({ since }) => since?.kind === kind);
  const perhaps = rows.flatMap((row) => {
    const others = course?.perhaps.get(row.name) ?? [];
    return others.length === 0 ? [] : [`${nameOf(row)} (perhaps ${others.join(' or ')})`];
  });
  const lists = [
    {
      title: 'Late, by the newest time of their files, which copying can change',
      items: late.map((row) => `${nameOf(row)} (${lateWords(row.late)})`),
    },
    { title: 'Not handed in again', items: course?.absent.map(nameOf) ?? [] },
    { title: 'The same files as before', items: ofKind('same files').map(nameOf) },
    { title: 'New', items: course === null ? [] : ofKind('new').map(nameOf) },
    {
      title: 'Perhaps the same under another name; give the file its old name to compare them',
      items: perhaps,
    },
  ];
  return lists.filter(({ items }) => items.length > 0);
}
