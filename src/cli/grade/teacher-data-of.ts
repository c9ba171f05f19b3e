import { classLists } from '../../grade/class-lists.js';
import type { Course } from '../../grade/course.js';
import { gradeOf } from '../../grade/grade-of.js';
import { copyGroups } from '../../grade/near-copies.js';
import type { Rubric } from '../../grade/rubric.js';
import type { Row } from '../../grade/submission.js';
import type { ClassCard } from '../../page/class/class-data.js';
import type { TeacherData, TeacherItem, TeacherName } from '../../page/class/teacher-html.js';

/** What the page for the teacher shows, from the rows of a class; `cards` has what is linked of each row. */
export function teacherData(
  rows: readonly Row[],
  cards: readonly Pick<ClassCard, 'feedback' | 'pages'>[],
  course: Course | null,
  similar: ReadonlyMap<string, readonly string[]>,
  rubric: Rubric,
  tool: string,
): TeacherData {
  const cardOf = new Map(rows.map(({ name }, at) => [name, cards[at]]));
  const named = (name: string): TeacherName => ({
    name,
    address: cardOf.get(name)?.feedback ?? null,
  });
  const look = rows.flatMap(({ name, look: reasons }) =>
    reasons.map(
      (reason): TeacherItem => ({
        ...named(name),
        words: `: ${reason}`,
        pages: cardOf.get(name)?.pages ?? [],
      }),
    ),
  );
  const lists = classLists(rows, course).map(({ title, items }) => ({
    title,
    items: items.map(({ name, words }): TeacherItem => ({ ...named(name), words, pages: [] })),
  }));
  const partly = rows.flatMap(({ name, grade }): TeacherItem[] => {
    const absent = (grade?.families ?? []).filter(({ earned }) => earned === null);
    if (absent.length === 0) return [];
    const words = absent.map(
      ({ family, because: [why = 'its rules are switched off'] }) => `${family} (${why})`,
    );
    return [{ ...named(name), words: `: ${words.join('; ')}`, pages: [] }];
  });
  const grades = rubric.grading.grades.map((step) => {
    const own = rows.filter(({ grade }) => gradeOf(grade?.scaled ?? null, rubric) === step);
    return { name: step.name, who: own.map(({ name }) => named(name)) };
  });
  return {
    lists: [
      ...(look.length > 0 ? [{ title: 'For a person to look at', items: look }] : []),
      ...lists,
      ...(partly.length > 0 ? [{ title: 'Graded without some families', items: partly }] : []),
    ],
    grades: grades.filter(({ who }) => who.length > 0),
    copies: copyGroups(rows, similar).map(({ names, sameFile }) => ({
      ...{ who: names.map(named), sameFile },
    })),
    submissions: rows.length,
    tool,
  };
}
