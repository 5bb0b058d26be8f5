import type { Left } from '../../domain/holds';
import type { BackWords } from '../../i18n/back';

export function leftWords(left: Left, words: BackWords): string {
  return left.unit === 'past' ? words.left.past : words.left[left.unit](left.n);
}
