import { megabytes } from './bytes';

/** Room on a disk as somebody would say it: nobody counts ten thousand megabytes. */
export function room(bytes: number, lang: string): string {
  return bytes < 1_000_000_000 ? `${megabytes(bytes, lang)} MB` : `${megabytes(bytes / 1000, lang)} GB`;
}
