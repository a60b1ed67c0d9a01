// One loader a screen; each is fetched when first opened. The name is the first part of the address.
import type { Component } from 'svelte';
import { wholeCatalogue } from '../text/text';
import type { Route } from '../shell/route.svelte';

export interface ScreenProps {
  route: Route;
}
export type Screen = Component<ScreenProps>;
type Load = () => Promise<{ default: Screen }>;

/** With all that the engine may say there; without a network a screen that lies here is still shown. */
const worded = (load: Load): Load => async () => (await Promise.all([load(), wholeCatalogue().catch(() => undefined)]))[0];

export const screens: Record<string, Load> = {
  plan: worded(() => import('./Plan.svelte')),
  place: worded(() => import('./Place.svelte')),
  infuse: worded(() => import('./Infuse.svelte')),
  use: worded(() => import('./Use.svelte')),
  watch: () => import('./Watch.svelte'),
  remove: worded(() => import('./Remove.svelte')),
  learn: worded(() => import('./Learn.svelte')),
  handover: worded(() => import('./Handover.svelte')),
  entries: worded(() => import('./Entries.svelte')),
  begin: worded(() => import('./Begin.svelte')),
  policy: worded(() => import('./Policy.svelte')),
  practice: worded(() => import('./Practice.svelte')),
  people: worded(() => import('./People.svelte')),
  settings: worded(() => import('./Settings.svelte')),
  ...(import.meta.env.MODE === 'gallery' || import.meta.env.DEV ? { gallery: worded(() => import('../gallery/Gallery.svelte')) } : {}),
};
