import type { Rule } from '../src/kit/rule.js';
import { axisAim } from './axis/aim.js';
import { axisCurl } from './axis/curl.js';
import { axisEnd } from './axis/end.js';
import { axisMirror } from './axis/mirror.js';
import { axisUniform } from './axis/uniform.js';
import { axisUp } from './axis/up.js';
import { axisWorldUp } from './axis/world-up.js';
import { chainDirection } from './chain/direction.js';
import { chainHinge } from './chain/hinge.js';
import { chainLength } from './chain/length.js';
import { chainParent } from './chain/parent.js';
import { chainSpacer } from './chain/spacer.js';
import { chainStretch } from './chain/stretch.js';
import { fileNoSkin } from './file/no-skin.js';
import { fitClip } from './fit/clip.js';
import { fitExtra } from './fit/extra.js';
import { fitFrame } from './fit/frame.js';
import { fitLength } from './fit/length.js';
import { fitMissing } from './fit/missing.js';
import { fitParent } from './fit/parent.js';
import { fitPlay } from './fit/play.js';
import { fitUnit } from './fit/unit.js';
import { fitWeights } from './fit/weights.js';
import { houseClipNames } from './house/clip-names.js';
import { houseClipRate } from './house/clip-rate.js';
import { houseClipRequired } from './house/clip-required.js';
import { houseClips } from './house/clips.js';
import { houseFacing } from './house/facing.js';
import { houseForbidden } from './house/forbidden.js';
import { houseHeight } from './house/height.js';
import { houseJoints } from './house/joints.js';
import { houseNames } from './house/names.js';
import { houseRequired } from './house/required.js';
import { houseVertical } from './house/vertical.js';
import { motionCollapse } from './motion/collapse.js';
import { nameDefault } from './name/default.js';
import { nameDuplicate } from './name/duplicate.js';
import { nameMissing } from './name/missing.js';
import { nameSide } from './name/side.js';
import { placeInside } from './place/inside.js';
import { placeMiddle } from './place/middle.js';
import { placeMidline } from './place/midline.js';
import { placePair } from './place/pair.js';
import { restBind } from './rest/bind.js';
import { restCentred } from './rest/centred.js';
import { restHolder } from './rest/holder.js';
import { restMesh } from './rest/mesh.js';
import { rootCentre } from './root/centre.js';
import { rootSingle } from './root/single.js';
import { scaleAnimated } from './scale/animated.js';
import { scaleNegative } from './scale/negative.js';
import { scaleNonuniform } from './scale/nonuniform.js';
import { scaleShear } from './scale/shear.js';
import { scaleUnit } from './scale/unit.js';
import { skinBindMatrix } from './skin/bind-matrix.js';
import { skinBudget } from './skin/budget.js';
import { skinIdle } from './skin/idle.js';
import { skinIndex } from './skin/index.js';
import { skinRemnant } from './skin/remnant.js';
import { skinRepeat } from './skin/repeat.js';
import { skinShift } from './skin/shift.js';
import { skinSide } from './skin/side.js';
import { skinStray } from './skin/stray.js';
import { skinSum } from './skin/sum.js';
import { skinUnweighted } from './skin/unweighted.js';

/** All rules, family by family, in the order the docs list them. */
export const rules: readonly Rule[] = [
  [rootSingle, rootCentre],
  [restHolder, restMesh, restBind, restCentred],
  [axisAim, axisUniform, axisUp, axisEnd, axisWorldUp, axisMirror, axisCurl],
  [scaleNonuniform, scaleShear, scaleUnit, scaleNegative, scaleAnimated],
  [chainDirection, chainParent, chainStretch, chainLength, chainSpacer, chainHinge],
  [placeInside, placeMiddle, placeMidline, placePair],
  [skinSum, skinUnweighted, skinIndex, skinRepeat, skinBindMatrix],
  [skinIdle, skinRemnant, skinShift, skinStray, skinSide, skinBudget],
  [motionCollapse],
  [nameMissing, nameDuplicate, nameDefault, nameSide],
  [fitMissing, fitParent, fitFrame, fitLength, fitUnit, fitExtra],
  [fitClip, fitPlay, fitWeights],
  [houseRequired, houseForbidden, houseJoints, houseNames, houseHeight, houseVertical, houseFacing],
  [houseClipRequired, houseClipNames, houseClipRate, houseClips],
  [fileNoSkin],
].flat();

/** The families, in the order of the rules. */
export const families: readonly string[] = [...new Set(rules.map((rule) => rule.family))];
