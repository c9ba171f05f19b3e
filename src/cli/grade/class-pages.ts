import { join } from 'node:path';
import { reportHead } from '../../check/make-report.js';
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
import type { HandbookLink } from '../../report/handbook-link.js';
import type { AssetReport, ReportHead } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { readPageScript } from '../output/html-output.js';
import { FileSet, makeFolder, refuseExisting } from '../output/write-output.js';
import type { ChosenSettings } from '../run/choose-settings.js';

/** What a class is graded by. */
export interface Grading extends ChosenSettings {
  readonly rubric: Rubric;
  /** Leads from the feedback, and from the pages beside it, to the entry of a rule. */
  readonly handbook: HandbookLink | null;
  /** The page of it that goes beside the gradebook; null where there is none, or it is elsewhere. */
  readonly handbookPage: string | null;
}

const INDEX = 'index.html';
const PAGES = 'pages';

/** A page for each asset of a class, written as it is graded, and the contact sheet that leads to them. */
export class ClassPages {
  private readonly script: string;
  private submissions = 0;
  private readonly head: ReportHead;
  /** File names of the pages, in the order of the assets. */
  private readonly files: readonly string[];
  private readonly cards: IndexCard[] = [];
  private readonly written: FileSet;

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
    this.files = fileNames(names);
    for (const name of [INDEX, ...this.files.map((file) => join(PAGES, `${file}.html`))])
      refuseExisting(join(grades.path, name), visible(join(grades.shown, name)), replace);
  }

  /** Writes the pages of a submission. */
  add(
    { name, grade, assets: all }: Marked,
    assets: readonly { readonly report: AssetReport; readonly pictures?: AssetPictures | null }[],
  ): void {
    this.submissions++;
    const { settings, rubric, handbook } = this.grading;
    const order = fixesOf(all, grade, settings).map(({ rule }) => rule.id);
    const value = grade?.scaled ?? null;
    const words = value === null ? '' : `${showTenths(value)} of ${showWorth(rubric.whole)} points`;
    const points = value === null ? null : { value, words };
    for (const { report: asset, pictures = null } of assets) {
      const file = `${this.files[this.cards.length] ?? `asset-${this.cards.length + 1}`}.html`;
      const page = writePage({
        head: this.head,
        asset,
        pictures,
        rules: settings.known,
        script: this.script,
        // A page may go to its student, who has no business with the points of the others.
        index: null,
        points: points && `${name}: ${words}. Its feedback has the sum.`,
        order,
        ...(handbook !== null && { handbook }),
      });
      this.write(join(PAGES, file), page);
      const address = `${PAGES}/${encodeURIComponent(file)}`;
      this.cards.push(cardOf(asset, address, pictures?.silhouette ?? '', points));
    }
  }

  /** Writes the contact sheet. */
  finish(): void {
    const title = `The class: ${counted(this.submissions, 'submission')}, ${counted(this.cards.length, 'file')}`;
    this.write(INDEX, writeIndex(title, this.cards, this.head, null));
  }

  /** Takes back what was written where nothing was before; what was replaced stays as it is now. */
  discard(): void {
    this.written.takeBack([join(this.grades.path, PAGES), this.grades.path]);
  }

  private write(name: string, html: string): void {
    const { path, shown } = this.grades;
    makeFolder(join(path, PAGES), visible(join(shown, PAGES)));
    this.written.write(join(path, name), visible(join(shown, name)), html);
  }
}
