import type { Must } from './must.js';
import type { FileJson, WholeFile } from './whole-file.js';

interface Reference {
  readonly at: string;
  readonly to: unknown;
  /** Entries of the array it leads into. */
  readonly count: number;
}

/** Every index that a file has in core properties. */
function references({ json }: WholeFile): Reference[] {
  const found: Reference[] = [];
  const sizes = (key: keyof FileJson): number => {
    const list = json[key];
    return Array.isArray(list) ? list.length : 0;
  };
  const add = (at: string, to: unknown, key: keyof FileJson | number): void => {
    if (to !== undefined) found.push({ at, to, count: typeof key === 'number' ? key : sizes(key) });
  };
  const all = (at: string, list: unknown[] | undefined, key: keyof FileJson): void =>
    list?.forEach((to, place) => {
      add(`${at}/${place}`, to, key);
    });
  add('/scene', json.scene, 'scenes');
  json.scenes?.forEach(({ nodes }, i) => {
    all(`/scenes/${i}/nodes`, nodes, 'nodes');
  });
  json.nodes?.forEach(({ children, mesh, skin, camera }, i) => {
    all(`/nodes/${i}/children`, children, 'nodes');
    add(`/nodes/${i}/mesh`, mesh, 'meshes');
    add(`/nodes/${i}/skin`, skin, 'skins');
    add(`/nodes/${i}/camera`, camera, 'cameras');
  });
  json.skins?.forEach(({ joints, skeleton, inverseBindMatrices }, i) => {
    all(`/skins/${i}/joints`, joints, 'nodes');
    add(`/skins/${i}/skeleton`, skeleton, 'nodes');
    add(`/skins/${i}/inverseBindMatrices`, inverseBindMatrices, 'accessors');
  });
  json.meshes?.forEach(({ primitives = [] }, i) => {
    primitives.forEach(({ attributes, indices, material, targets = [] }, p) => {
      const at = `/meshes/${i}/primitives/${p}`;
      for (const map of [attributes, ...targets])
        all(`${at}/attributes`, Object.values(map), 'accessors');
      add(`${at}/indices`, indices, 'accessors');
      add(`${at}/material`, material, 'materials');
    });
  });
  json.animations?.forEach(({ channels = [], samplers = [] }, i) => {
    channels.forEach(({ sampler, target }, c) => {
      add(`/animations/${i}/channels/${c}/sampler`, sampler, samplers.length);
      add(`/animations/${i}/channels/${c}/target/node`, target.node, 'nodes');
    });
    samplers.forEach(({ input, output }, s) => {
      add(`/animations/${i}/samplers/${s}/input`, input, 'accessors');
      add(`/animations/${i}/samplers/${s}/output`, output, 'accessors');
    });
  });
  json.accessors?.forEach(({ bufferView, sparse }, i) => {
    add(`/accessors/${i}/bufferView`, bufferView, 'bufferViews');
    add(`/accessors/${i}/sparse/indices`, sparse?.indices.bufferView, 'bufferViews');
    add(`/accessors/${i}/sparse/values`, sparse?.values.bufferView, 'bufferViews');
  });
  json.bufferViews?.forEach(({ buffer }, i) => {
    add(`/bufferViews/${i}/buffer`, buffer, 'buffers');
  });
  json.images?.forEach(({ bufferView }, i) => {
    add(`/images/${i}/bufferView`, bufferView, 'bufferViews');
  });
  return found;
}

/** Names of extensions in any `extensions` object, however deep; not in extras, which are free. */
function extensionsIn(value: unknown, found = new Set<string>()): Set<string> {
  if (typeof value !== 'object' || value === null) return found;
  for (const [key, inner] of Object.entries(value)) {
    if (key === 'extras') continue;
    if (key === 'extensions' && !Array.isArray(value))
      for (const name of Object.keys(inner ?? {})) found.add(name);
    extensionsIn(inner, found);
  }
  return found;
}

/** Lists that the schema wants at least one item in, by where they are. */
function lists({ json }: WholeFile): [string, readonly unknown[]][] {
  const given: [string, unknown][] = [
    ...Object.entries(json).map(([key, list]): [string, unknown] => [`/${key}`, list]),
    ...(json.scenes ?? []).map(({ nodes }, i): [string, unknown] => [`/scenes/${i}/nodes`, nodes]),
    ...(json.nodes ?? []).flatMap(({ children, weights }, i): [string, unknown][] => [
      [`/nodes/${i}/children`, children],
      [`/nodes/${i}/weights`, weights],
    ]),
    ...(json.skins ?? []).map(({ joints }, i): [string, unknown] => [`/skins/${i}/joints`, joints]),
    ...(json.meshes ?? []).flatMap(({ primitives, weights }, i): [string, unknown][] => [
      [`/meshes/${i}/primitives`, primitives],
      [`/meshes/${i}/weights`, weights],
      ...(primitives ?? []).map(({ targets }, p): [string, unknown] => [
        `/meshes/${i}/primitives/${p}/targets`,
        targets,
      ]),
    ]),
    ...(json.animations ?? []).flatMap(({ channels, samplers }, i): [string, unknown][] => [
      [`/animations/${i}/channels`, channels],
      [`/animations/${i}/samplers`, samplers],
    ]),
  ];
  return given.flatMap(([at, list]): [string, readonly unknown[]][] =>
    Array.isArray(list) ? [[at, list]] : [],
  );
}

/** glTF 2.0, 3.2, 3.3, 3.12, and the lists of the schemas in 5. */
export const DOCUMENT: readonly Must[] = [
  {
    id: 'asset-version',
    section: '3.2',
    says: 'Each glTF asset MUST have an asset property. The asset object MUST contain a version property that specifies the target glTF version of the asset.',
    breaches: ({ json }) => (/^2\.\d+$/.test(json.asset?.version ?? '') ? [] : ['/asset']),
  },
  {
    id: 'index-in-range',
    section: '3.3',
    says: 'Indices MUST be non-negative integer numbers. Indices MUST always point to existing elements.',
    breaches: (file) =>
      references(file).flatMap(({ at, to, count }) =>
        typeof to === 'number' && Number.isInteger(to) && to >= 0 && to < count ? [] : [at],
      ),
  },
  {
    id: 'name-is-text',
    section: '3.3',
    says: 'Any top-level glTF object MAY have a name string property.',
    breaches: ({ json }) =>
      Object.entries(json).flatMap(([key, list]) =>
        !Array.isArray(list)
          ? []
          : (list as unknown[]).flatMap((item, index) => {
              const hasName = typeof item === 'object' && item !== null && 'name' in item;
              return hasName && typeof item.name !== 'string' ? [`/${key}/${index}/name`] : [];
            }),
      ),
  },
  {
    id: 'list-not-empty',
    section: '5.5, 5.17, 5.23, 5.25, 5.27, 5.28',
    says: 'Lists of the schemas have one item at least ([1-*]).',
    breaches: (file) => lists(file).flatMap(([at, list]) => (list.length === 0 ? [at] : [])),
  },
  {
    id: 'list-unique',
    section: '5.17, 5.25.2, 5.27.1',
    says: 'Each element in extensionsUsed, extensionsRequired, children and scene.nodes MUST be unique.',
    breaches: (file) =>
      lists(file).flatMap(([at, list]) =>
        /^\/extensions|\/children$|^\/scenes\/\d+\/nodes$/.test(at) &&
        new Set(list).size < list.length
          ? [at]
          : [],
      ),
  },
  {
    id: 'extensions-listed',
    section: '3.12',
    says: 'All extensions used in a glTF asset MUST be listed in the top-level extensionsUsed array object.',
    breaches: ({ json }) =>
      [...extensionsIn(json)].filter((name) => json.extensionsUsed?.includes(name) !== true),
  },
  {
    id: 'required-used',
    section: '3.12',
    says: 'All values in extensionsRequired MUST also exist in extensionsUsed.',
    breaches: ({ json }) =>
      (json.extensionsRequired ?? []).filter(
        (name) => json.extensionsUsed?.includes(name) !== true,
      ),
  },
];
