// One loader a screen; each is fetched when first opened. The name is the first part of the address.
import type { Component } from 'svelte';
import type { Route } from '../shell/route.svelte';

export interface ScreenProps {
  route: Route;
}
export type Screen = Component<ScreenProps>;
type Load = () => Promise<{ default: Screen }>;

export const screens: Record<string, Load> = {
  plan: () => import('./Plan.svelte'),
  place: () => import('./Place.svelte'),
  infuse: () => import('./Infuse.svelte'),
  watch: () => import('./Watch.svelte'),
  remove: () => import('./Remove.svelte'),
  learn: () => import('./Learn.svelte'),
  handover: () => import('./Handover.svelte'),
  entries: () => import('./Entries.svelte'),
  begin: () => import('./Begin.svelte'),
  policy: () => import('./Policy.svelte'),
  practice: () => import('./Practice.svelte'),
  people: () => import('./People.svelte'),
  settings: () => import('./Settings.svelte'),
  ...(import.meta.env.MODE === 'gallery' || import.meta.env.DEV ? { gallery: () => import('../gallery/Gallery.svelte') } : {}),
};
