import type { AnchorReport, AssetReport, FindingReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';
import type { Vertices } from './ledger.js';
import { placeKey } from './place-key.js';

/** A finding as waivers look at it. */
export interface Subject {
  readonly finding: FindingReport;
  /** Name of its rig; null for what is about the whole asset, or a node that several rigs may share. */
  readonly rig: string | null;
  /** Whether the asset has another rig. */
  readonly amongRigs: boolean;
  readonly places: readonly SubjectPlace[];
  /** How many things are at fault, where the report lists only the first of them; else null. */
  readonly cut: number | null;
  /** Null where no vertices are counted. */
  readonly vertices: Vertices | null;
}

export interface SubjectPlace extends AnchorReport {
  /** As a ledger writes it. */
  readonly key: string;
  /** How bad it is there; null where all places are measured as one. */
  readonly measured: number | null;
}

/** A report lists so many places of a finding at most: of one with so many, not all may be there. */
export const LISTED = 1000;

/** The findings of an asset as waivers look at them, in order. */
export function subjectsOf({ findings, rigs }: Pick<AssetReport, 'findings' | 'rigs'>): Subject[] {
  const subjects = findings.map((finding): Subject => {
    const rig = rigs.find(({ index }) => index === finding.rig);
    const counted = rig?.measured.find(({ rule }) => rule === finding.rule);
    const { places, counts, place } = finding;
    const cut = places.length < LISTED ? null : Math.max(places.length, counts?.short ?? 0);
    const all = places.length === 0 ? [place] : places;
    // A list that is cut says nothing: which are its first may change. The anchor and the number do.
    const listed = cut === null ? all : [finding.anchor];
    const ofVertices = counted?.kind === 'judged' && counted.of === 'vertices';
    const short =
      finding.unit === 'vertices' ? finding.measured : ofVertices ? counted.short : null;
    return {
      finding,
      rig: rig === undefined || place.kind === 'node' ? null : rig.name,
      amongRigs: rigs.length > 1,
      places: listed.map((place) => {
        const measured = cut ?? ('measured' in place ? place.measured : null) ?? null;
        return { key: placeKey(place), measured, kind: place.kind, path: place.path };
      }),
      cut,
      vertices: rig === undefined || short === null ? null : { short, of: rig.vertices },
    };
  });
  return numbered(subjects);
}

/**
 * Two meshes of one name are one path: where a rule of a rig reports the same place again, the worst
 * keeps the path and the others get a number, so that one more is one that no waiver lists.
 */
function numbered(subjects: readonly Subject[]): Subject[] {
  const entries = subjects.flatMap(({ finding, rig, places }) =>
    places.map((place) => ({
      place,
      id: JSON.stringify([finding.rule, finding.aspect, rig, place.key]),
      excess: Math.abs((place.measured ?? finding.measured ?? 0) - (finding.limit ?? 0)),
    })),
  );
  const keys = new Map<SubjectPlace, string>();
  for (const alike of groupBy(entries, ({ id }) => id).values()) {
    const [, ...others] = alike.sort((a, b) => b.excess - a.excess);
    others.forEach(({ place }, at) => {
      keys.set(place, `${place.key} (${at + 2})`);
    });
  }
  return subjects.map((subject) => ({
    ...subject,
    places: subject.places.map((place) => ({ ...place, key: keys.get(place) ?? place.key })),
  }));
}
