import type { Settings } from '../../check/settings.js';
import type { ReportStream } from '../../report/report-stream.js';
import type { ReportHead } from '../../report/report-types.js';
import type { Io } from '../io.js';
import type { BaseFlags } from '../paths/base-folder.js';

/**
 * What a form shows of an asset besides its report, which is made only where one asks for it: the hash
 * and the text of the file, the time the check took, or pictures.
 */
export type Need = 'content' | 'times' | 'pictures';

/** A form that a report can have. One file a form in `formats/`; `formats/index.ts` lists them. */
export interface Format {
  /** As `--format` takes it. */
  readonly name: string;
  /** Endings of the names of files that have it, without the point; the first is its own. */
  readonly endings: readonly string[];
  /** For whom it is, and what it shows them, in one sentence of Markdown. */
  readonly tells: string;
  readonly needs: readonly Need[];
  /**
   * Whether names stand in it without escapes, as in a table: build services read orders in its lines,
   * and marks of these are taken apart as it is written. A form like JSON has escapes, and sees to it itself.
   */
  readonly isUnescaped?: boolean;
  /** Whether a person reads it as it comes, and need not be told beside it what is in it. */
  readonly isRead?: boolean;
  /** Options that shape it alone. */
  readonly options?: readonly FormatOption[];
  /** Opens its writer, whose code is loaded here: a run writes few forms. Throws UsageError. */
  open(head: ReportHead, context: StreamContext): Promise<ReportStream>;
}

export interface FormatOption {
  readonly key: keyof OutputFlags;
  /** As the parser takes it: `--base <dir>`. */
  readonly flags: string;
  readonly help: string;
  readonly choices?: readonly string[];
  /** What is said where the form is not asked for. */
  readonly alone: string;
}

/** Options that say where reports go and what form they have. */
export interface OutputFlags extends BaseFlags {
  readonly format?: string;
  readonly sarifFor?: 'standard' | 'code-scanning';
  readonly out?: readonly string[];
  readonly replace?: boolean;
  readonly eachRule?: boolean;
  readonly showWaivers?: boolean;
  readonly quiet?: boolean;
  readonly colour: 'never' | 'auto' | 'always';
}

/** One report to write: its form, and the file it goes to or null for standard output. */
export interface Target {
  readonly format: Format;
  readonly path: string | null;
  /** As the user knows it. */
  readonly shown: string;
}

/** What the writers need besides the report. */
export interface RunContext {
  readonly flags: OutputFlags;
  readonly settings: Settings;
  /** JSON texts of `.gltf` assets by path, filled as they are checked. */
  readonly texts: ReadonlyMap<string, string>;
  /** Names of all assets of the run, in order. */
  readonly names: readonly string[];
  readonly io: Io;
}

export interface StreamContext extends RunContext {
  readonly target: Target;
}
