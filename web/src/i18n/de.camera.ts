// German words of the camera within the page, and of what is said while a number is typed.
import type { enCamera, enMeasure, enPlausible } from './en.camera';

export const deCamera: typeof enCamera = {
  open: 'Vom selben Standort aufnehmen',
  title: (of: string) => `Kamera: ${of}`,
  take: 'Foto aufnehmen',
  close: 'Kamera schließen',
  own: 'Kamera des Telefons verwenden',
  ghost: 'Foto der Übergabe, durchscheinend',
  ghostHelp: 'Stellen Sie sich so, dass beide übereinanderliegen.',
  light: 'Licht',
  starting: 'Die Kamera wird gestartet …',
  refused: 'Diese Seite darf die Kamera nicht verwenden. Erlauben Sie es in den Einstellungen des Browsers für diese Seite, oder verwenden Sie die Kamera des Telefons.',
  none: 'Es wurde keine Kamera gefunden. Verwenden Sie die Kamera des Telefons.',
  busy: 'Ein anderes Programm benutzt die Kamera, oder sie ist ausgefallen. Beenden Sie es, oder verwenden Sie die Kamera des Telefons.',
  again: 'Noch einmal aufnehmen',
  repeat: {
    departure: 'Das ist noch einmal das Foto der Übergabe oder nicht davon zu unterscheiden. Fotografieren Sie, wie das Fahrzeug jetzt ist.',
    other_vehicle: 'Dieses Foto wurde schon für ein anderes Fahrzeug verwendet oder ist nicht davon zu unterscheiden. Fotografieren Sie dieses Fahrzeug.',
  },
  keep: 'Trotzdem behalten',
  advice: {
    blurred: 'Dieses Foto ist unscharf. Halten Sie still, wischen Sie die Linse ab und nehmen Sie es möglichst noch einmal auf.',
    too_dark: 'Dieses Foto ist sehr dunkel. Machen Sie Licht und nehmen Sie es möglichst noch einmal auf.',
    too_bright: 'Dieses Foto ist überbelichtet. Wenden Sie sich von der Sonne ab und nehmen Sie es möglichst noch einmal auf.',
  },
};

export const dePlausible: typeof enPlausible = {
  under_tare: (kg: string) => `Das sind ${kg} kg weniger als die eingeschlagene Tara. Wiegen Sie noch einmal oder lesen Sie die Prägung noch einmal ab.`,
  over_net_fill: (kg: string) => `Das sind ${kg} kg mehr Gas, als in die volle Flasche passt. Wiegen Sie noch einmal oder prüfen Sie Prägung und Größe.`,
  less_than_departure: (distance: string) => `Das sind ${distance} weniger als bei der Übergabe. Lesen Sie noch einmal ab.`,
  far: (distance: string) => `Das sind ${distance} seit der Übergabe. Lesen Sie sicherheitshalber noch einmal ab.`,
  outside: (least: string, most: string, unit: string) => `Hier zeigen Messgeräte von ${least} bis ${most} ${unit} an. Lesen Sie sicherheitshalber noch einmal ab.`,
  twenty_four: 'Das sieht nach zwei Batterien in Reihe aus. Messen Sie sicherheitshalber eine davon.',
  charging: 'Bei dieser Spannung wird die Batterie geladen. Messen Sie in Ruhe.',
};

export const deMeasure: typeof enMeasure = {
  open: 'Auf dem Foto messen',
  title: 'Auf dem Foto messen',
  how: 'Legen Sie die Linie mit Quadraten an die Karte oder was sonst mit bekannter Länge daneben lag, und die gestrichelte Linie mit Kreisen an den Schaden.',
  known: 'Länge dessen, was daneben liegt (lange Kante einer Bankkarte: 85,6)',
  flat: 'Richtig nur, wo beides auf derselben ebenen Fläche liegt und gerade von vorn fotografiert wurde.',
  ends: ['Erstes Ende der bekannten Länge', 'Zweites Ende der bekannten Länge', 'Erstes Ende des Schadens', 'Zweites Ende des Schadens'],
  result: (mm: number) => `Der Schaden ist etwa ${mm} mm lang.`,
  none: 'Geben Sie die Länge dessen ein, was daneben liegt.',
  use: 'Diese Größe übernehmen',
  close: 'Schließen',
};
