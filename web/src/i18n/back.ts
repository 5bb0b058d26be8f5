// Words that come with the office's further screens. A language that lacks one does not compile.
import { deBack } from './de.back';
import { enBack } from './en.back';
import type { Lang } from './index.svelte';

export type BackWords = typeof enBack;
export const backWords: Readonly<Record<Lang, BackWords>> = { en: enBack, de: deBack };
