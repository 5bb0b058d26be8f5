// Words that come with two records that differ. A language that lacks one does not compile.
import { deTwo } from './de.two';
import { enTwo } from './en.two';
import type { Lang } from './index.svelte';

export type TwoWords = typeof enTwo;
export const twoWords: Readonly<Record<Lang, TwoWords>> = { en: enTwo, de: deTwo };
