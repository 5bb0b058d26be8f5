// Links by which hirers read their own hire.
import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { Link, LinkMade } from '../api/types';

export async function listLinks(api: Api, hire: string): Promise<Link[]> {
  return (await unwrap(api.GET('/hires/{id}/links', { params: { path: { id: hire } } }))).items;
}

export function makeLink(api: Api, hire: string, id: string, lang: Link['lang'], mail: boolean): Promise<LinkMade> {
  return unwrap(api.POST('/hires/{id}/links', { params: { path: { id: hire } }, body: { id, lang, mail } }));
}

export async function revokeLink(api: Api, hire: string, link: string): Promise<Link[]> {
  return (await unwrap(api.DELETE('/hires/{id}/links/{link_id}', { params: { path: { id: hire, link_id: link } } }))).items;
}
