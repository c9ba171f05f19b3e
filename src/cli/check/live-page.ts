import { basename, dirname, join } from 'node:path';
import { AssetError, UsageError } from '../../asset/errors.js';
import type { Guard } from '../../asset/guard.js';
import { type FileMark, markAt, removeQuietly } from '../../batch/part-file.js';
import { limitsOfAll, type Settings } from '../../check/settings.js';
import type { Scene } from '../../draw/scene.js';
import { statePicture } from '../../page/bench-part.js';
import { writePage } from '../../page/page-html.js';
import type { PageBench } from '../../page/page-source.js';
import { picturesOf } from '../../page/pictures-of.js';
import type { AssetPictures } from '../../report/asset-pictures.js';
import { changesBetween } from '../../report/changes.js';
import { unreadableWords } from '../../report/finding-words.js';
import type { AssetReport, ReportHead } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { ApprovedAsset, RigModel } from '../../rig/types.js';
import type { Io } from '../io.js';
import type { Target } from '../output/format.js';
import { readPageScript } from '../output/html-output.js';
import { refuseExisting, writeWhole } from '../output/write-output.js';

/** States of one run, and runs that are told apart: the sides of a picture that every browser shows. */
const MOST_STATES = 16_000;

/** What a page shows. */
interface Shown {
  readonly head: ReportHead;
  readonly asset: AssetReport;
  readonly pictures: AssetPictures | null;
}

/**
 * A page that is kept current while its asset is watched. A page from disk may read no other file, but it
 * may show a picture beside it: the size of a small one is the state, and a page that sees another state
 * than its own loads itself again. Data alone goes that way, and no server is needed.
 */
export class LivePage {
  private readonly run: number;
  private readonly place: string;
  private readonly script: string;
  private number = 1;
  private mark: FileMark | null = null;
  private shown: Shown | null = null;
  private changes: PageBench['changes'] = null;
  private time: string;

  /** Throws UsageError where the small file may not be written. */
  constructor(
    private readonly target: Target & { readonly path: string },
    private readonly rules: Settings['known'],
    replace: boolean,
    private readonly io: Io,
  ) {
    this.place = join(dirname(target.path), this.file);
    refuseExisting(this.place, this.shownPlace, replace);
    this.script = readPageScript(io);
    this.run = 1 + (Math.floor(io.clock().getTime() / 1000) % MOST_STATES);
    this.time = this.now();
  }

  private get file(): string {
    return `${basename(this.target.path)}.state.svg`;
  }

  private get shownPlace(): string {
    return visible(join(dirname(this.target.shown), this.file));
  }

  /** How the page of the next state keeps itself current. */
  bench(trouble: string | null = null): PageBench {
    const { file, time, changes } = this;
    return { file, state: [this.run, this.number], time, changes, trouble };
  }

  /** Takes note of the page that the first check wrote. */
  begun(head: ReportHead, asset: AssetReport, pictures: AssetPictures | null): void {
    this.shown = { head, asset, pictures };
  }

  /** Tells pages that they are what there is. To be called once the page is written. */
  tell(): void {
    const text = statePicture([this.run, this.number]);
    this.mark = writeWhole(this.place, this.shownPlace, text);
  }

  /** What draws an asset as it is checked; `pictures` is to be asked once it is reported. */
  drawing(settings: Settings, approved: ApprovedAsset | null, guard: Guard) {
    let scene: Scene | null = null;
    return {
      onModel: async (model: RigModel): Promise<void> => {
        const { makeScene } = await import('../../draw/make-scene.js');
        scene = guard.run(() => makeScene(model, settings.wanted, approved, limitsOfAll(settings)));
      },
      /** Null where there is nothing to draw, or it takes too long: the page then has words alone. */
      async pictures(report: AssetReport): Promise<AssetPictures | null> {
        if (scene === null || report.unreadable !== null) return null;
        try {
          return await picturesOf(scene, report, guard);
        } catch (error) {
          if (error instanceof AssetError) return null;
          throw error;
        }
      },
    };
  }

  /** Writes the page anew. What cannot be read leaves the last whole state, with a word about it. */
  update(head: ReportHead, asset: AssetReport, pictures: AssetPictures | null): void {
    this.time = this.now();
    const before = this.shown?.asset ?? null;
    const { unreadable } = asset;
    const isLost = unreadable !== null && before !== null && before.unreadable === null;
    if (!isLost) {
      this.changes = before?.unreadable === null ? changesBetween(before, asset) : null;
      this.shown = { head, asset, pictures };
    }
    this.number = 1 + (this.number % MOST_STATES);
    this.write(this.bench(isLost ? unreadableWords(unreadable) : null));
    this.tell();
  }

  /** Leaves a page that looks for nothing, and takes the small file away, unless it is another's by now. */
  end(): void {
    this.write();
    if (this.mark !== null && markAt(this.place) === this.mark) removeQuietly(this.place);
  }

  private write(bench?: PageBench): void {
    if (this.shown === null) return;
    const { rules, script, target } = this;
    const common = { rules, script, index: null, points: null, order: null };
    writeWhole(target.path, visible(target.shown), writePage({ ...this.shown, ...common, bench }));
  }

  /** `09:05:07`, in the time of the machine. */
  private now(): string {
    return this.io.clock().toTimeString().slice(0, 8);
  }
}

/** The page among some targets. Throws UsageError where it is not one page of one file. */
export function livePage(
  targets: readonly Target[],
  assets: number,
  rules: Settings['known'],
  replace: boolean,
  io: Io,
): LivePage | null {
  for (const target of targets) {
    const { path } = target;
    if (path === null) continue;
    if (assets !== 1)
      throw new UsageError(
        `--watch keeps the page of one file current, and ${assets} were found; name one file, or leave out --out`,
      );
    return new LivePage({ ...target, path }, rules, replace, io);
  }
  return null;
}
