// Our own drawing of one arm: the right one seen from the palm side, thumb at the left, in a field 200 wide and 480 high.
// The left arm and the back of the hand are the same outline mirrored. Proportions follow an adult arm: the hand is about
// three quarters of the forearm's length. Veins run where they usually run (common practice, no source). The paths lie in
// data/drawing, because the same arm is drawn on paper.
import arm from '../../../../data/drawing/arm.json';

export const fieldWidth = arm.width;
export const fieldHeight = arm.height;

/** Skin, open at the top where the upper arm goes on. */
export const outline = arm.outline;

/** Wrist, palm, elbow and finger creases. */
export const palmCreases: readonly string[] = arm.palm_creases;

/** Cephalic (thumb side), basilic, the median cubital between them, and the median vein of the forearm. */
export const palmVeins: readonly string[] = arm.palm_veins;

/** The two tendons that stand out at the wrist. */
export const palmTendons: readonly string[] = arm.palm_tendons;

/** Knuckles and finger folds. */
export const backFolds: readonly string[] = arm.back_folds;

/** Elbow point, wrist bone, tendons to the fingers. */
export const backRelief: readonly string[] = arm.back_relief;

/** The network on the back of the hand, and the veins that lead from it up the forearm. */
export const backVeins: readonly string[] = arm.back_veins;

/** Finger nails. */
export const nails: readonly string[] = arm.nails;
