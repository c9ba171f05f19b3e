import type { Must } from './must.js';
import { elements, FLOAT } from './values.js';
import type { FileAnimation, WholeFile } from './whole-file.js';

type Sampler = FileAnimation['samplers'][number];
type Channel = FileAnimation['channels'][number];

const inAnimations =
  (
    find: (animation: FileAnimation, file: WholeFile) => readonly (string | number)[],
  ): Must['breaches'] =>
  (file) =>
    (file.json.animations ?? []).flatMap((animation, index) =>
      find(animation, file).map((place) => `/animations/${index}/${place}`),
    );

const inSamplers = (isBroken: (sampler: Sampler, file: WholeFile) => boolean): Must['breaches'] =>
  inAnimations(({ samplers = [] }, file) =>
    samplers.flatMap((sampler, at) => (isBroken(sampler, file) ? [`samplers/${at}`] : [])),
  );

const inChannels = (
  isBroken: (channel: Channel, sampler: Sampler, file: WholeFile) => boolean,
): Must['breaches'] =>
  inAnimations(({ channels = [], samplers = [] }, file) =>
    channels.flatMap((channel, at) => {
      const sampler = samplers[channel.sampler];
      return sampler !== undefined && isBroken(channel, sampler, file) ? [`channels/${at}`] : [];
    }),
  );

const TYPES: Readonly<Record<string, string>> = {
  translation: 'VEC3',
  rotation: 'VEC4',
  scale: 'VEC3',
  weights: 'SCALAR',
};

/** Morph targets of the mesh that a node shows. */
function targetsOf({ json }: WholeFile, node: number | undefined): number {
  const mesh = json.nodes?.[node ?? -1]?.mesh;
  return json.meshes?.[mesh ?? -1]?.primitives?.[0]?.targets?.length ?? 0;
}

/** glTF 2.0, 3.11 Animations, and 5.8 Animation Sampler. */
export const ANIMATIONS: readonly Must[] = [
  {
    id: 'input-type',
    section: '5.8.1',
    says: 'The accessor MUST be of scalar type with floating-point components.',
    breaches: inSamplers(({ input }, { json }) => {
      const accessor = json.accessors?.[input];
      return (
        accessor !== undefined && (accessor.type !== 'SCALAR' || accessor.componentType !== FLOAT)
      );
    }),
  },
  {
    id: 'input-increasing',
    section: '5.8.1',
    says: 'The values represent time in seconds with time[0] >= 0.0, and strictly increasing values, i.e., time[n + 1] > time[n].',
    breaches: inSamplers(({ input }, file) => {
      const times = elements(file, input)?.map(([time = 0]) => time) ?? [];
      return times.some((time, at) => time < 0 || time <= (times[at - 1] ?? -1));
    }),
  },
  {
    id: 'interpolation',
    section: '3.11',
    says: 'Supported interpolation values include LINEAR, STEP, and CUBICSPLINE.',
    breaches: inSamplers(
      ({ interpolation = 'LINEAR' }) => !['LINEAR', 'STEP', 'CUBICSPLINE'].includes(interpolation),
    ),
  },
  {
    id: 'spline-keys',
    section: '5.8.2',
    says: 'CUBICSPLINE: There must be at least two keyframes when using this interpolation.',
    breaches: inSamplers(
      ({ input, interpolation }, { json }) =>
        interpolation === 'CUBICSPLINE' && (json.accessors?.[input]?.count ?? 2) < 2,
    ),
  },
  {
    id: 'path',
    section: '3.11',
    says: 'Valid path names are "translation", "rotation", "scale", and "weights".',
    breaches: inChannels(({ target }) => TYPES[target.path] === undefined),
  },
  {
    id: 'output-type',
    section: '3.11',
    says: 'translation VEC3 float; rotation VEC4 float or normalized; scale VEC3 float; weights SCALAR float or normalized.',
    breaches: inChannels(({ target: { path } }, { output }, { json }) => {
      const accessor = json.accessors?.[output];
      if (accessor === undefined || TYPES[path] === undefined) return false;
      const { type, componentType, normalized = false } = accessor;
      const packed = path === 'rotation' || path === 'weights';
      const fits = componentType === FLOAT ? !normalized : packed && normalized;
      return type !== TYPES[path] || !fits;
    }),
  },
  {
    id: 'output-count',
    section: '3.11, 5.8.3',
    says: 'one output element an input; three of CUBICSPLINE; of weights, the number of morph targets times the number of animation frames.',
    breaches: inChannels(({ target }, { input, output, interpolation }, file) => {
      const [times, values] = [file.json.accessors?.[input], file.json.accessors?.[output]];
      if (times === undefined || values === undefined) return false;
      const each = target.path === 'weights' ? targetsOf(file, target.node) : 1;
      if (each === 0) return false;
      return values.count !== times.count * each * (interpolation === 'CUBICSPLINE' ? 3 : 1);
    }),
  },
  {
    id: 'weights-target',
    section: '3.11',
    says: 'Nodes that do not contain a mesh with morph targets MUST NOT be targeted with "weights" path.',
    breaches: inChannels(
      ({ target }, _, file) =>
        target.path === 'weights' &&
        target.node !== undefined &&
        targetsOf(file, target.node) === 0,
    ),
  },
  {
    id: 'target-once',
    section: '3.11',
    says: 'Within one animation, each target (a combination of a node and a path) MUST NOT be used more than once.',
    breaches: inAnimations(({ channels = [] }) => {
      const told = channels.map(({ target }) => `${target.node}/${target.path}`);
      return told.flatMap((own, at) => (told.indexOf(own) < at ? [`channels/${at}`] : []));
    }),
  },
];
