import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { reportHead } from '../../check/make-report.js';
import type { Settings } from '../../check/settings.js';
import { fixesOf } from '../../grade/fixes.js';
import type { GradesFolder } from '../../grade/grades-folder.js';
import type { Rubric } from '../../grade/rubric.js';
import type { Marked } from '../../grade/submission.js';
import { showTenths, showWorth } from '../../grade/tenths.js';
import { cardOf, type IndexCard, writeIndex } from '../../page/index-html.js';
import { writePage } from '../../page/page-html.js';
import type { AssetPictures } from '../../report/asset-pictures.js';
import { fileNames } from '../../report/file-names.js';
import { counted } from '../../report/finding-words.js';
import type { AssetReport, ReportHead } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { readPageScript } from '../output/html-output.js';
import { FileSet, refuseExisting, why } from '../output/write-output.js';

const INDEX = 'index.html';
const PAGES = 'pages';

/** A page for each asset of a class, written as it is graded, and the contact sheet that leads to them. */
export class ClassPages {
  private readonly grades: GradesFolder;
  private readonly script: string;
  private readonly settings: Settings;
  private submissions = 0;
  private readonly head: ReportHead;
  /** Points that the rubric gives in all. */
  private readonly whole: number;
  /** File names of the pages, in the order of the assets. */
  private readonly files: readonly string[];
  private readonly cards: IndexCard[] = [];
  private readonly written: FileSet;

  /**
   * Throws UsageError where an index or a page is there that may not be written over.
   *
   * @param names Paths of all assets of the class, in order.
   */
  constructor(
    grades: GradesFolder,
    names: readonly string[],
    settings: Settings,
    rubric: Rubric,
    standard: string | null,
    replace: boolean,
    io: Io,
  ) {
    this.grades = grades;
    this.written = new FileSet(replace);
    this.script = readPageScript(io);
    this.head = reportHead(settings, standard);
    this.whole = rubric.whole;
    this.settings = settings;
    this.files = fileNames(names);
    for (const name of [INDEX, ...this.files.map((file) => join(PAGES, `${file}.html`))])
      refuseExisting(join(grades.path, name), visible(join(grades.shown, name)), replace);
  }

  /** Writes the pages of a submission. */
  add(
    { name, grade, assets: all }: Marked,
    assets: readonly { readonly report: AssetReport; readonly pictures: AssetPictures | null }[],
  ): void {
    this.submissions++;
    const order = fixesOf(all, grade, this.settings).map(({ rule }) => rule.id);
    const points =
      grade?.scaled == null
        ? null
        : {
            value: grade.scaled,
            words: `${showTenths(grade.scaled)} of ${showWorth(this.whole)} points`,
          };
    for (const { report: asset, pictures } of assets) {
      const file = `${this.files[this.cards.length] ?? `asset-${this.cards.length + 1}`}.html`;
      const page = writePage({
        head: this.head,
        asset,
        pictures,
        rules,
        script: this.script,
        // A page may go to its student, who has no business with the points of the others.
        index: null,
        points: points && `${name}: ${points.words}. Its feedback has the sum.`,
        order,
      });
      this.write(join(PAGES, file), page);
      const address = `${PAGES}/${encodeURIComponent(file)}`;
      this.cards.push(cardOf(asset, address, pictures?.silhouette ?? '', points));
    }
  }

  /** Writes the contact sheet. */
  finish(): void {
    this.write(
      INDEX,
      writeIndex(
        `The class: ${counted(this.submissions, 'submission')}, ${counted(this.cards.length, 'file')}`,
        this.cards,
        this.head,
        null,
      ),
    );
  }

  /** Takes back what was written where nothing was before; what was replaced stays as it is now. */
  discard(): void {
    this.written.takeBack([join(this.grades.path, PAGES), this.grades.path]);
  }

  private write(name: string, html: string): void {
    const path = join(this.grades.path, name);
    const shown = visible(join(this.grades.shown, name));
    try {
      mkdirSync(join(this.grades.path, PAGES), { recursive: true });
    } catch (error) {
      throw new UsageError(
        `${visible(join(this.grades.shown, PAGES))} cannot be made: ${why(error)}`,
      );
    }
    this.written.write(path, shown, html);
  }
}
