import { basename, join } from 'node:path';
import { reportHead } from '../../check/make-report.js';
import type { Course } from '../../grade/course.js';
import { fixesOf } from '../../grade/fixes.js';
import { markWords } from '../../grade/grade-of.js';
import { FEEDBACK, type GradesFolder, INDEX, PAGES, TEACHER } from '../../grade/grades-folder.js';
import type { Row } from '../../grade/submission.js';
import type { ClassCard, PageLink } from '../../page/class/class-data.js';
import { writeClassPage } from '../../page/class/class-html.js';
import { type FeedbackDrawing, writeFeedbackPage } from '../../page/class/feedback-html.js';
import { writeTeacherPage } from '../../page/class/teacher-html.js';
import { writePage } from '../../page/page-html.js';
import { fileNames } from '../../report/file-names.js';
import type { ReportHead } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { readPageScript } from '../output/html-output.js';
import { FileSet, makeFolder, refuseExisting } from '../output/write-output.js';
import { classData } from './class-data-of.js';
import { feedbackDrawings } from './feedback-drawings.js';
import type { Grading, Piece } from './grading.js';
import { teacherData } from './teacher-data-of.js';

/**
 * The pages of a class: one for each asset and one for each feedback, written as it is graded, then the
 * page of the class that leads to them, and one for the teacher alone.
 */
export class ClassPages {
  private readonly script: string;
  private readonly head: ReportHead;
  /** File names of the pages, by the paths of the assets. */
  private readonly files: ReadonlyMap<string, string>;
  /** Pages of assets that are written; animals of one file share theirs. */
  private readonly done = new Set<string>();
  private readonly cards: Pick<ClassCard, 'drawing' | 'feedback' | 'pages'>[] = [];
  private readonly written: FileSet;
  /** Names of what was written beside the feedback as Markdown. */
  readonly feedback = new Set<string>();

  /** Throws UsageError where a page may not be written over. `names` are the assets' paths, in order. */
  constructor(
    private readonly grades: GradesFolder,
    names: readonly string[],
    private readonly grading: Grading,
    replace: boolean,
    io: Io,
  ) {
    this.written = new FileSet(replace);
    this.script = readPageScript(io);
    const { settings, standard, above } = grading;
    this.head = {
      ...reportHead(settings, standard),
      ...(above.length > 0 && { standardAbove: above }),
    };
    const files = fileNames(names);
    this.files = new Map(names.map((name, at) => [name, `${files[at] ?? `asset-${at + 1}`}.html`]));
    for (const name of [
      INDEX,
      TEACHER,
      ...[...this.files.values()].map((file) => join(PAGES, file)),
    ])
      refuseExisting(join(grades.path, name), visible(join(grades.shown, name)), replace);
  }

  /**
   * Writes the pages of what is marked as one.
   *
   * @param markdown Its feedback.
   * @param file The name of its feedback, without an ending.
   */
  add(piece: Piece, row: Row, markdown: string, file: string): void {
    const { marked, checked } = piece;
    const { rubric, settings, handbook, like } = this.grading;
    const fixes = fixesOf(marked.assets, marked.grade, settings);
    const order = fixes.map(({ rule }) => rule.id);
    const value = row.grade?.scaled ?? null;
    const words = value === null ? '' : markWords(value, rubric, String);
    const pages: PageLink[] = [];
    const drawings: FeedbackDrawing[] = [];
    let small = '';
    for (const { report: asset, whole, pictures = null, rig } of checked) {
      const page = this.files.get(asset.path) ?? 'asset.html';
      pages.push({ name: basename(asset.path), address: `${PAGES}/${encodeURIComponent(page)}` });
      drawings.push(...feedbackDrawings(fixes, whole, pictures, rig));
      const views = pictures?.views ?? [];
      small ||= rig === null ? (pictures?.silhouette ?? '') : (views[rig]?.small ?? '');
      if (this.done.has(page)) continue;
      this.done.add(page);
      const pointWords =
        value === null || rig !== null
          ? null
          : `${marked.name}: ${words}. Its feedback has the sum.`;
      const html = writePage({
        head: this.head,
        // An animal has the page of its whole file.
        asset: whole,
        pictures,
        rules: settings.known,
        script: this.script,
        // A page may go to its student, who has no business with the points of the others.
        index: null,
        points: pointWords,
        order: rig === null ? order : null,
        ...(like !== null && { model: like.name }),
        ...(handbook !== null && { handbook }),
      });
      this.write(join(PAGES, page), html);
    }
    const name = `${file}.html`;
    const feedback = writeFeedbackPage({
      name: marked.name,
      markdown,
      file: `${file}.md`,
      drawings,
      pages: pages.map((page) => ({ ...page, address: `../${page.address}` })),
      tool: this.toolWords(),
    });
    this.write(join(FEEDBACK, name), feedback);
    this.feedback.add(name);
    const address = `${FEEDBACK}/${encodeURIComponent(name)}`;
    this.cards.push({ drawing: small, feedback: address, pages });
  }

  /** Writes the page of the class and that of the teacher. */
  finish(
    rows: readonly Row[],
    course: Course | null,
    similar: ReadonlyMap<string, readonly string[]>,
  ): void {
    const { rubric } = this.grading;
    const tool = this.toolWords();
    this.write(INDEX, writeClassPage(classData(rows, this.cards, course, rubric, tool)));
    const teacher = teacherData(rows, this.cards, course, similar, rubric, tool);
    this.write(TEACHER, writeTeacherPage(teacher));
  }

  /** Where the pages are, for the end of a run. */
  words(): string {
    const place = (name: string): string => visible(join(this.grades.shown, name));
    return `Pages: ${place(INDEX)}. For you alone: ${place(TEACHER)}.`;
  }

  /** Takes back what was written where nothing was before; what was replaced stays as it is now. */
  discard(): void {
    const { path } = this.grades;
    this.written.takeBack([join(path, PAGES), join(path, FEEDBACK), path]);
  }

  private toolWords(): string {
    return `${this.head.tool.name} ${this.head.tool.version}`;
  }

  private write(name: string, html: string): void {
    const { path, shown } = this.grades;
    for (const folder of [PAGES, FEEDBACK])
      makeFolder(join(path, folder), visible(join(shown, folder)));
    this.written.write(join(path, name), visible(join(shown, name)), html);
  }
}
