// The words on the screens. English says which words there are; a language that lacks one does not compile.
import type { Text } from '../api/types';
import type { Words } from './en';

export type Lang = 'en' | 'de';
export const LANGS: readonly { lang: Lang; name: string }[] = [
  { lang: 'en', name: 'English' },
  { lang: 'de', name: 'Deutsch' },
];

const loaders: Record<Lang, () => Promise<Words>> = {
  en: async () => (await import('./en')).en,
  de: async () => (await import('./de')).de,
};

export function loadWords(lang: Lang): Promise<Words> {
  return loaders[lang]();
}

/** The first language of the browser's that there are words in; English when there is none. */
export function pickLang(wanted: readonly string[]): Lang {
  for (const tag of wanted) {
    const base = tag.toLowerCase().split('-')[0];
    const found = LANGS.find((l) => l.lang === base);
    if (found) return found.lang;
  }
  return 'en';
}

/** Words that come from the server in several languages. */
export function said(text: Text | null | undefined, lang: Lang): string {
  return text?.[lang] ?? text?.['en'] ?? '';
}

export class LangState {
  lang = $state<Lang>('en');
  words = $state.raw<Words>({} as Words);

  async use(lang: Lang): Promise<void> {
    this.words = await loadWords(lang);
    this.lang = lang;
    document.documentElement.lang = lang;
  }
}
