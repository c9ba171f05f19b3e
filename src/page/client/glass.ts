import { BackSide, DoubleSide, ShaderMaterial, type Side, Vector3 } from 'three';

// The parts in angle brackets are three.js's own: a skinned vertex and its normal.
const VERTEX = `
#include <common>
#include <skinning_pars_vertex>
varying vec3 turned;
varying vec3 toEye;
void main() {
  #include <beginnormal_vertex>
  #include <skinbase_vertex>
  #include <skinnormal_vertex>
  #include <begin_vertex>
  #include <skinning_vertex>
  vec4 seen = modelViewMatrix * vec4(transformed, 1.0);
  turned = normalMatrix * objectNormal;
  toEye = -seen.xyz;
  gl_Position = projectionMatrix * seen;
}`;

// Thin where it is looked at squarely, denser towards its outline, as glass is.
const FRAGMENT = `
uniform vec3 tint;
uniform vec2 density;
varying vec3 turned;
varying vec3 toEye;
void main() {
  float size = length(turned);
  float facing = size > 0.0 ? abs(dot(turned / size, normalize(toEye))) : 1.0;
  float edge = (1.0 - facing) * (1.0 - facing);
  gl_FragColor = vec4(tint, mix(density.x, density.y, edge));
}`;

/** The materials of a see-through mesh, in drawing order. All meshes share one set. */
export type Glass = ReturnType<typeof makeGlass>;

/**
 * Back faces faintly; then depth alone, so that of many layers in front only the nearest shows; then
 * that nearest layer. Blending every layer would turn a hand of five fingers into a blot.
 */
export function makeGlass() {
  const tint = { value: new Vector3(0.5, 0.5, 0.5) };
  const layer = (side: Side, thin: number, dense: number): ShaderMaterial =>
    new ShaderMaterial({
      vertexShader: VERTEX,
      fragmentShader: FRAGMENT,
      uniforms: { tint, density: { value: [thin, dense] } },
      side,
      transparent: true,
      depthWrite: false,
    });
  const depth = layer(DoubleSide, 0, 0);
  depth.colorWrite = false;
  depth.depthWrite = true;
  return {
    layers: [layer(BackSide, 0.02, 0.1), depth, layer(DoubleSide, 0.1, 0.62)],
    tint: (rgb: readonly [number, number, number]) => tint.value.set(...rgb),
  };
}
