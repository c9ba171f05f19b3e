import type { Course } from '../../grade/course.js';
import { gradeOf, leastOf } from '../../grade/grade-of.js';
import type { Rubric } from '../../grade/rubric.js';
import type { Row } from '../../grade/submission.js';
import type { Tenths } from '../../grade/tenths.js';
import type { ClassCard, ClassData, ClassFault } from '../../page/class/class-data.js';

/** What the page of a class shows, from its rows; `drawn` has what is drawn and linked of each row. */
export function classData(
  rows: readonly Row[],
  drawn: readonly Pick<ClassCard, 'drawing' | 'feedback' | 'pages'>[],
  course: Course | null,
  rubric: Rubric,
  tool: string,
): ClassData {
  const cards = rows.map((row, at): ClassCard => {
    const { name, verdict, counts, since, first, look } = row;
    const { drawing = '', feedback = row.feedback, pages = [] } = drawn[at] ?? {};
    const points = pointsOf(row.grade?.scaled ?? null);
    const grade = gradeName(row, rubric);
    const gradeBefore = since?.gradeBefore ?? null;
    const before = since?.before.map(pointsOf) ?? [];
    const change = pointsOf(since?.change ?? null);
    return {
      ...{ name, verdict, counts, points, grade, gradeBefore, before, change },
      ...{ first, look, drawing, feedback, pages },
    };
  });
  return {
    outOf: rubric.whole / 10,
    cards,
    faults: faultsOf(rows),
    handIns: handInsOf(rows, course),
    grades: rubric.grading.grades.map((step) => ({
      name: step.name,
      from: leastOf(step, rubric.whole) / 10,
      submissions: cards.filter(({ grade }) => grade === step.name).length,
    })),
    tool,
  };
}

function gradeName({ grade }: Row, rubric: Rubric): string | null {
  return gradeOf(grade?.scaled ?? null, rubric)?.name ?? null;
}

function pointsOf(tenths: Tenths | null): number | null {
  return tenths === null ? null : tenths / 10;
}

/** The points of each hand-in, also of those who did not hand in again. */
function handInsOf(rows: readonly Row[], course: Course | null): number[][] {
  const known = (marks: readonly (Tenths | null)[]): number[] =>
    marks.flatMap((mark) => (mark === null ? [] : [mark / 10]));
  const earlier = (course?.older.handIns ?? []).map((_, at) =>
    known([
      ...rows.map(({ since }) => since?.before[at] ?? null),
      ...(course?.absent ?? []).map(({ before }) => before[at] ?? null),
    ]),
  );
  return [...earlier, known(rows.map(({ grade }) => grade?.scaled ?? null))];
}

/** What costs points first; then by how many submissions they are in, and by how often. */
function faultsOf(rows: readonly Row[]): ClassFault[] {
  const faults = new Map<string, ClassFault>();
  for (const { faults: own } of rows)
    for (const { rule, findings, costs } of own) {
      const { id, title } = rule;
      const none = { rule: id, title, submissions: 0, findings: 0, costs: false };
      const before = faults.get(id) ?? none;
      faults.set(id, {
        ...before,
        submissions: before.submissions + 1,
        findings: before.findings + findings,
        costs: before.costs || costs,
      });
    }
  return [...faults.values()].sort(
    (a, b) =>
      Number(b.costs) - Number(a.costs) ||
      b.submissions - a.submissions ||
      b.findings - a.findings ||
      (a.rule < b.rule ? -1 : 1),
  );
}
