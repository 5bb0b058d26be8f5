import { said, type Lang } from '../i18n/index.svelte';
import type { Step } from './walk';

/** What a step is called. */
export function stepTitle(step: Step, lang: Lang): string {
  return said(step.kind === 'viewpoint' ? step.viewpoint.title : step.kind === 'item' ? step.item.title : step.checkpoint.title, lang);
}
