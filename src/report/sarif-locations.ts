import type { Location, LogicalLocation, Region } from 'sarif';
import type { PlaceReport } from './report-types.js';
import type { AssetArtifact } from './sarif-artifacts.js';

/**
 * Who reads the log: `standard` keeps to the letter of SARIF 2.1.0; `code-scanning` serves hosted
 * services that place each alert on a line.
 */
export type SarifTarget = 'standard' | 'code-scanning';

/**
 * A place in an asset that was read.
 *
 * A binary artifact takes a byte region and no text region (3.30.1): the JSON chunk of a `.glb`.
 * Services want a line all the same, so for them a `.glb` has one line a node, the node with index
 * 0 on line 1, and its byte region goes to the result's properties. Some services merge results
 * that are alike in rule, file and line, and by this no two joints ever share a line.
 */
export function regionOf(
  { kind, jsonChunk, text }: AssetArtifact,
  { node, pointer }: Pick<PlaceReport, 'node' | 'pointer'>,
  target: SarifTarget,
): Region | null {
  if (kind === 'glb') return target === 'standard' ? jsonChunk : { startLine: 1 + (node ?? 0) };
  const value = pointer === '' && node !== null ? `/nodes/${node}` : pointer;
  return text()?.region(value) ?? (target === 'standard' ? null : { startLine: 1 });
}

/** Where reading an asset stopped, from the words of the error: a line, a byte or a pointer. */
export function unreadableRegion(
  artifact: AssetArtifact,
  where: string | null,
  target: SarifTarget,
): Region | null {
  if (artifact.kind === 'gltf' && where !== null) {
    const [, line, column] = /^line (\d+), column (\d+)$/.exec(where) ?? [];
    if (line !== undefined) return { startLine: Number(line), startColumn: Number(column) };
    if (where.startsWith('/')) return regionOf(artifact, { node: null, pointer: where }, target);
  }
  if (target === 'code-scanning') return { startLine: 1 };
  const byte = /^byte (\d+)$/.exec(where ?? '')?.[1];
  return byte === undefined ? null : { byteOffset: Number(byte), byteLength: 0 };
}

/** One location of a result. */
export function locationOf(
  { location }: AssetArtifact,
  region: Region | null,
  logical: readonly (LogicalLocation | null)[] = [],
): Location {
  const logicalLocations = logical.filter((place) => place !== null);
  return {
    physicalLocation: {
      artifactLocation: { ...location },
      ...(region && { region: { ...region } }),
    },
    ...(logicalLocations.length > 0 && { logicalLocations }),
  };
}
