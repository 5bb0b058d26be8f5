import { megabytes } from '../../domain/bytes';

/** A file's length as somebody would say it: a small table is no 0.0 MB. */
export function fileSize(bytes: number, lang: string): string {
  return bytes < 100_000 ? `${new Intl.NumberFormat(lang).format(Math.max(1, Math.round(bytes / 1000)))} kB` : `${megabytes(bytes, lang)} MB`;
}
