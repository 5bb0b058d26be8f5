// A sentence that every caution ends with is told once, not each time: what is read again and again is read no more.
import { said, type Lang } from '../i18n/index.svelte';

type Words = { [lang: string]: string };

const sentences = (text: string) => text.trim().split(/(?<=[.!?])\s+/u);

/** The last sentence all cautions share; null where they do not, or where there is but one. */
export function sharedEnding(cautions: readonly string[]): string | null {
  const endings = new Set(cautions.map((c) => sentences(c).at(-1) ?? ''));
  const [ending] = endings;
  if (cautions.length < 2 || endings.size !== 1 || ending === undefined) return null;
  // Nothing would be left to say.
  return cautions.some((c) => sentences(c).length < 2) ? null : ending;
}

export function withoutEnding(caution: string, ending: string | null): string {
  return ending !== null && caution.trim().endsWith(ending) ? caution.trim().slice(0, -ending.length).trim() : caution;
}

/** The shared ending in a language, of texts that may be missing. */
export function endingIn(cautions: readonly (Words | null | undefined)[], lang: Lang): string | null {
  return sharedEnding(cautions.flatMap((c) => (c ? [said(c, lang)] : [])));
}
