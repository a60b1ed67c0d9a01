// A look at a site as it is ticked: what was said, and what nobody said. Nothing is ticked beforehand.
import type { SiteSigns, SiteSignsIn } from '../engine/generated/shapes';

/** A score; that it cannot be said or was not asked; null: nobody said anything. */
export type Pain = number | 'cannot_say' | 'not_asked' | null;

export interface Look {
  present: string[];
  pain: Pain;
  swelling: string;
  cord: string;
  /** Looked, and said to have found nothing. */
  nothing: boolean;
}

export const noLook = (): Look => ({ present: [], pain: null, swelling: '', cord: '', nothing: false });

/** As the engine takes it: a look where nothing was said is none. */
export function signsOf(look: Look): SiteSignsIn {
  const measured = (sign: string, words: string): boolean => words.trim() !== '' && look.present.includes(sign);
  return {
    assessed: look.present.length > 0 || look.pain !== null || look.nothing,
    present: look.present as SiteSignsIn['present'] & string[],
    ...(typeof look.pain === 'number' ? { pain_score: look.pain } : {}),
    ...(measured('swelling', look.swelling) ? { swelling_extent: look.swelling.trim() } : {}),
    ...(measured('palpable_cord', look.cord) ? { cord_length: look.cord.trim() } : {}),
  };
}

/** Why there is no figure for pain, as the record keeps it; nothing where one was told, or where nobody said anything. */
export const painUnsaid = ({ pain }: Look): { pain_unsaid?: 'cannot_say' | 'not_asked' } => (pain === 'cannot_say' || pain === 'not_asked' ? { pain_unsaid: pain } : {});

/** As it was charted. Why there was no figure for pain is not said again by that: it is asked anew. */
export const lookOf = ({ present, pain_score, swelling_extent, cord_length }: SiteSigns): Look => ({
  present: [...present], pain: pain_score ?? null, swelling: swelling_extent?.text ?? '', cord: cord_length?.text ?? '', nothing: present.length === 0,
});
