// Deutsche Wörter für zwei Aufnahmen, die sich unterscheiden. Sie kommen mit der Seite, die sie zeigen muss.
import type { enTwo } from './en.two';

export const deTwo: typeof enTwo = {
  title: 'Beide Aufnahmen nebeneinander',
  same: 'Der Server hat jetzt, was auf diesem Gerät unterschrieben wurde. Bitte neu unterschreiben.',
  count: (n) => (n === 1 ? 'Sie unterscheiden sich an einer Stelle.' : `Sie unterscheiden sich an ${n} Stellen.`),
  what: 'Wo',
  device: 'Dieses Gerät',
  server: 'Der Server',
  nothing: 'nichts',
  whole: 'Beide im Ganzen, wie sie versiegelt werden',
  parts: {
    entries: 'Antwort', photos: 'Foto', marks: 'Schaden', sightings: 'Bekannter Schaden', briefings: 'Thema der Einweisung',
    handed_over_at: 'Übergabezeit', absence: 'Abwesenheit des Mieters', started_at: 'Beginn', template: 'Fragen', leg: 'Richtung',
    format: 'Form der Aufnahme', inspection: 'Aufnahme', hire: 'Miete', vehicle: 'Fahrzeug',
  },
  noted: (words) => `Notiz: ${words}`,
  recorded: (time) => `aufgenommen ${time}`,
  replaces: (n) => (n === 1 ? 'statt 1 früheren Antwort' : `statt ${n} früherer Antworten`),
  photos: (n) => (n === 1 ? 'mit 1 Foto' : `mit ${n} Fotos`),
  taken: (time) => `gemacht ${time}`,
  picture: (hash) => `Fingerabdruck ${hash}`,
  seenFrom: (title) => `auf „${title}“`,
  place: (x, y) => `${x} % von links, ${y} % von oben`,
  measured: (mm) => `jetzt ${mm} mm`,
  shown: (time) => `gezeigt ${time}, nicht bestätigt`,
  unshown: 'nicht gezeigt',
  acknowledged: (time) => `bestätigt ${time}`,
  leftOut: (reason) => `vom Personal ausgelassen: ${reason}`,
  version: (n) => `Fassung ${n}`,
};
