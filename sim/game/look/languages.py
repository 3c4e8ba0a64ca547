"""What the parts are called in German, French and Dutch: a reading aid beside the player's own words.

Common practice, not cross-checked word by word. Frog, blade, stock rail and changeover are found in German discussions
of the trade too, frog, blades and changeover in French ones; the rest is from memory.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["LANGUAGES", "PARTS", "Part"]

LANGUAGES = ("German", "French", "Dutch")


class Part(NamedTuple):
    """A part: its name in the words of the first set, and what it is called in each of the languages."""

    said: str
    german: str
    french: str
    dutch: str


_TABLE = """
turnout | Weiche | aiguillage, aiguille | wissel
frog | Herzstück | cœur, pointe de cœur | puntstuk, hartstuk
blades | Zungen | lames | tongen
stock rail | Backenschiene | rail contre-aiguille | aanslagspoorstaaf
closure rail | Zwischenschiene | rail intercalaire | tussenspoorstaaf
check rail | Radlenker | contre-rail | strijkregel
tie-bar | Stellschwelle, Stellstange | tringle | stelbiels
point motor | Weichenantrieb | moteur d'aiguille | wisselmotor
changeover contact | Umschalter | inverseur | wisselcontact
hand lever | Handhebel | levier | handverstelling
powering a frog | Herzstückpolarisierung | polarisation de la pointe | puntstukpolarisatie
feeder | Einspeisung | fil d'alimentation | voedingsdraad
bus | Ringleitung | bus | ringleiding
joiner | Schienenverbinder | éclisse | raillas
insulated joiner, gap | Isolierverbinder, Trennstelle | éclisse isolante, coupure | isolatielas
sleeper | Schwelle | traverse | dwarsligger, biels
normal, diverging | gerade, abzweigend | direct, dévié | recht, afbuigend
crossover | Gleisverbindung | liaison | overloop
diamond crossing | Kreuzung | traversée, croisement | kruising
double slip | doppelte Kreuzungsweiche | traversée-jonction double | heel Engels wissel
reverse loop | Kehrschleife | boucle | keerlus
triangle of track | Gleisdreieck | triangle | driehoek
"""

PARTS: tuple[Part, ...] = tuple(Part(*line.split(" | ")) for line in _TABLE.strip().splitlines())
"""In the order of the page: the turnout and its rails, what moves it, what feeds it, what is built of several."""
