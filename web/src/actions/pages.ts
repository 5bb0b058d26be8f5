import { unwrap } from '../api/http';

interface PageAnswer<T> {
  data?: { items: T[] };
  error?: unknown;
  response: Response;
}

/** The cursor of the next page, from a `Link` header such as `</api/v1/hires?after=…>; rel="next"`. */
export function nextCursor(link: string | null): string | null {
  const target = /<([^>]*)>;\s*rel="next"/u.exec(link ?? '')?.[1];
  return target === undefined ? null : new URL(target, 'http://any').searchParams.get('after');
}

/** Every page of a list, put together. */
export async function everyPage<T>(page: (query: { limit: number; after?: string }) => Promise<PageAnswer<T>>): Promise<T[]> {
  const items: T[] = [];
  let after: string | null = null;
  do {
    const answer: PageAnswer<T> = await page(after === null ? { limit: 200 } : { limit: 200, after });
    items.push(...(await unwrap(Promise.resolve(answer))).items);
    after = nextCursor(answer.response.headers.get('Link'));
  } while (after !== null);
  return items;
}
