// Words that come with the hirer's own page. A language that lacks one does not compile.
import { deOwn } from './de.own';
import { enOwn } from './en.own';
import type { Lang } from './index.svelte';

export type OwnWords = typeof enOwn;
export const ownWords: Readonly<Record<Lang, OwnWords>> = { en: enOwn, de: deOwn };
