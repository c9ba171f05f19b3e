import type { AssetReport, FindingReport } from '../report/report-types.js';
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
  /** Where vertices are counted: how many are at fault, and how many the rig moves. */
  readonly vertices: { readonly short: number; readonly of: number } | null;
}

export interface SubjectPlace {
  /** As a ledger writes it. */
  readonly key: string;
  /** How bad it is there; null where all places are measured as one. */
  readonly measured: number | null;
  readonly kind: FindingReport['place']['kind'];
  readonly path: string;
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
    // A list that is cut says nothing: which are its first may change. The anchor and the number do.
    const told = cut === null ? (places.length === 0 ? [place] : places) : [finding.anchor];
    const ofVertices = counted?.kind === 'judged' && counted.of === 'vertices';
    const short =
      finding.unit === 'vertices' ? finding.measured : ofVertices ? counted.short : null;
    return {
      finding,
      rig: rig === undefined || place.kind === 'node' ? null : rig.name,
      amongRigs: rigs.length > 1,
      places: told.map((item) => {
        const measured = cut ?? ('measured' in item ? item.measured : null) ?? null;
        return { key: placeKey(item), measured, kind: item.kind, path: item.path };
      }),
      cut,
      vertices: rig === undefined || short === null ? null : { short, of: rig.vertices },
    };
  });
  return numbered(subjects);
}

/**
 * Two meshes of one name are one path: where a rule of a rig tells the same place again, the worst
 * keeps it and the others get their number, so that one more is one that no waiver lists.
 */
function numbered(subjects: readonly Subject[]): Subject[] {
  const seen = new Map<string, { place: SubjectPlace; excess: number }[]>();
  for (const { finding, rig, places } of subjects)
    for (const place of places) {
      const id = JSON.stringify([finding.rule, finding.aspect, rig, place.key]);
      const excess = Math.abs((place.measured ?? finding.measured ?? 0) - (finding.limit ?? 0));
      const known = seen.get(id);
      if (known === undefined) seen.set(id, [{ place, excess }]);
      else known.push({ place, excess });
    }
  const keys = new Map<SubjectPlace, string>();
  for (const alike of seen.values()) {
    if (alike.length === 1) continue;
    const order = alike.sort((a, b) => b.excess - a.excess);
    order.slice(1).forEach(({ place }, at) => {
      keys.set(place, `${place.key} (${at + 2})`);
    });
  }
  if (keys.size === 0) return [...subjects];
  return subjects.map((subject) => ({
    ...subject,
    places: subject.places.map((place) => ({ ...place, key: keys.get(place) ?? place.key })),
  }));
}
