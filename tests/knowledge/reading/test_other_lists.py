"""Short descriptions in the way other museums write them, read as a conservator would.

150 rows were made up for this file, household to costume, some in German, French and Dutch, with the families
and features they should give; all were written down before the reader was run on any of them, by one who knew
its lists of words.  The first run read 109 of the 150 right (73 %): families exactly, the features named here
found, and no sealed contents where none are told.  Its commonest fault (16 rows) was to give no working part
for a named clock, compass or doll, which had not been a rule before; 25 rows were missed for other reasons.
Then words and rules were mended with these rows in view, so what they show now is that nothing is lost again,
not how the reader does on a list it has never met.  MISREAD names the rows still read wrongly, with
the reason.
"""

from __future__ import annotations

import pytest

from strandline.knowledge.reading.read import read_texts

# "title | materials", families, features that must be found
ROWS: tuple[tuple[str, str, str], ...] = (
    # household
    ("Flat iron | cast iron, wooden handle", "metal wood", "handle"),
    ("Washing dolly | turned sycamore", "wood", ""),
    ("Warming pan | brass pan, iron rim, turned beech handle", "metal wood", "handle"),
    ("Butter stamp, cow design | sycamore", "wood", ""),
    ("Copper kettle with amber glass handle", "metal glass", "handle"),
    ("Bed warmer | stoneware, screw stopper", "ceramic", "stopper"),
    ("Candle snuffer | steel", "metal", ""),
    ("Tin bath, galvanised", "metal", ""),
    ("Bread crock, red earthenware, lead glazed inside", "ceramic", "glazed"),
    ("Bellows | elm boards, leather, brass nozzle, iron studs", "wood skin metal", ""),
    ("Rag rug | hessian, wool and cotton rags", "textile", ""),
    ("Sampler | silk on linen, oak frame, framed and glazed", "textile wood glass", "framed_glass"),
    ("Ironstone meat plate, blue transfer print", "ceramic", "printed_decoration"),
    ("Enamel bowl, white with blue rim, chipped", "metal", "enamelled"),
    ("Vacuum flask | tin-plated steel outer, glass liner, cork", "metal glass plant", ""),
    ("Bakelite telephone | bakelite, steel, woven cotton flex", "plastic metal textile working", ""),
    ("Glass medicine bottle, contents unknown, no label", "glass", "sealed_contents"),
    ("Scales with pans | japanned iron, brass pans", "metal", "japanned"),
    (
        "Sewing machine, hand crank | cast iron, japanned with gilt transfers, walnut case",
        "working metal wood",
        "japanned",
    ),
    ("Mahogany tea caddy, two zinc-lined compartments, ivory escutcheon", "wood metal bone", ""),
    # rural life
    ("Horse collar | leather, straw stuffing, check wool lining", "skin plant textile", ""),
    ("Dibber | ash, iron tip", "wood metal", ""),
    ("Hay knife | iron blade, ash handle", "metal wood", "handle"),
    ("Shepherd's crook | hazel shaft, ram's horn head", "wood bone", ""),
    ("Milk churn | tinned steel, brass plate", "metal", ""),
    (
        "Seed fiddle | pine, canvas bag, iron fittings, cane bow with leather thong",
        "wood textile metal plant skin",
        "",
    ),
    ("Thatching needle | wrought iron", "metal", ""),
    ("Bee skep | coiled straw bound with bramble", "plant", ""),
    ("Cattle drench horn | cow horn", "bone", ""),
    ("Trug | chestnut frame, willow boards, copper nails", "wood metal", ""),
    ("Plough, wheeled | painted iron and ash", "metal wood", "painted"),
    ("Sheep bell on yoke | sheet iron, brazed; wooden yoke, leather straps", "metal wood skin", ""),
    ("Smock | linen, embroidered with linen thread", "textile", ""),
    # maritime
    (
        "Octant | ebony frame, ivory scale, brass index arm, mirrors and coloured glass shades",
        "wood bone metal glass working",
        "",
    ),
    ("Ship in a bottle | glass, wood, paper, thread, putty sea", "glass wood paper textile ceramic", ""),
    ("Lifebelt | cork, canvas, painted lettering, rope", "plant textile", ""),
    ("Ship's lantern | copper and brass, dioptric glass lens", "metal glass", ""),
    ("Bosun's chair | elm board, manila rope", "wood textile", ""),
    ("Half hull model | pine, varnished, on oak backboard", "wood", "varnished"),
    ("Ditty box | oak with whalebone inlay", "wood bone", ""),
    ("Sailmaker's fid | lignum vitae", "wood", ""),
    ("Telescope, three draw | brass, leather covered barrel, glass", "metal skin glass working", ""),
    ("Deck bucket | teak staves, copper hoops, rope beckets", "wood metal textile", ""),
    ("Life jacket | kapok, cotton cover, tapes", "textile", ""),
    ("Ship's log book | paper, half calf, marbled boards", "paper skin", ""),
    (
        "Concertina in hexagonal case | rosewood ends, leather bellows, brass reeds, ivory buttons",
        "wood skin metal bone working",
        "",
    ),
    ("Steering compass | brass bowl, glass, card, alcohol", "metal glass paper working", ""),
    ("Cannonball, recovered from wreck | concreted iron", "metal working", ""),
    # decorative arts
    ("Mantel clock | ormolu, white marble, enamel dial", "metal stone working", "gilded"),
    ("Vase | hard-paste porcelain, painted in enamels and gilt", "ceramic", "gilded"),
    ("Pier glass | carved and gilt wood, mirror plate", "wood glass", "gilded"),
    ("Snuff box | papier-mâché, japanned, painted lid", "ceramic", "japanned painted"),
    ("Commode | kingwood and tulipwood veneered on oak, ormolu mounts, marble top", "wood metal stone", ""),
    ("Tea urn | Sheffield plate, ivory tap handle", "metal bone", ""),
    ("Chalice | silver, parcel-gilt, set with garnets", "metal stone", "gilded"),
    ("Screen, six fold | leather, painted and gilt, on pine frames", "skin wood", "painted gilded"),
    ("Fan | painted vellum leaf, mother-of-pearl sticks", "skin bone", "painted"),
    ("Bonbonnière | enamel on copper, gilt-metal mounts", "metal", "enamelled gilded"),
    ("Stained glass roundel | glass, lead cames", "glass metal", ""),
    ("Chair, dining | beech, caned seat", "wood plant", ""),
    ("Armchair | walnut, horsehair stuffing, damask cover", "wood textile", "upholstered"),
    ("Looking glass in a gilt frame", "glass wood", "gilded"),
    ("Pietra dura table top | marble, hardstones, slate", "stone", ""),
    ("Plate | tin-glazed earthenware (maiolica)", "ceramic", "glazed"),
    ("Goblet | clear glass, wheel engraved, cold gilded rim", "glass", "gilded"),
    ("Netsuke | boxwood, horn eyes", "wood bone", ""),
    ("Inro | lacquer on wood, shell inlay, silk cord, coral bead", "wood bone textile", ""),
    ("Bronze group of wrestlers on slate base", "metal stone", ""),
    # natural history
    ("Tawny owl, mounted, under glass dome", "skin glass", "taxidermy_form"),
    ("Red squirrel, mounted on branch | skin, glass eyes, wood", "skin glass wood", "taxidermy_form"),
    ("Bird study skins, drawer of 12", "skin", ""),
    ("Frog dissection | wet specimen in glass jar with formalin", "working glass", ""),
    (
        "Beetles, pinned, glass-topped drawer | insects, cork, mahogany, glass",
        "working plant wood glass",
        "pesticide",
    ),
    ("Herbarium sheet, mosses", "working", ""),
    ("Ammonite | pyrite", "stone", ""),
    ("Ostrich egg on ebonised stand", "bone wood", ""),
    ("Fox skull | bone", "bone", ""),
    ("Sea fan coral under dome | coral, glass, wood base", "bone glass wood", ""),
    ("Birds' eggs in cabinet | eggshell, cotton wool, pine", "bone textile wood", ""),
    ("Sturgeon, cast | plaster, painted", "ceramic", "painted"),
    # ethnographic
    ("Club | hardwood, sinnet binding", "wood textile", ""),
    ("Mask | wood, raffia, kaolin, cowrie shells", "wood plant ceramic bone", ""),
    ("Shield | hide over wicker", "skin plant", ""),
    ("Apron | barkcloth painted with pigment", "plant", "painted"),
    ("Necklace | dog teeth, shell discs, strung on plant fibre", "bone plant", "strung"),
    ("Moccasins | smoked buckskin, glass beads, sinew thread", "skin glass", ""),
    ("Drum | hollowed log, hide membrane, pegs", "wood skin", ""),
    ("Calabash, pokerwork decoration", "plant", ""),
    ("Kris | iron blade, wooden hilt, rattan binding", "metal wood plant working", ""),
    ("Headdress | feathers on basketry frame, beeswax, cotton string", "skin plant wax textile", "feathered"),
    # technical
    ("Wireless receiver | walnut veneered cabinet, valves, bakelite knobs", "wood plastic working", "mains"),
    ("Typewriter | enamelled steel, rubber platen, celluloid key tops", "metal plastic working", ""),
    (
        "Microscope in fitted case | lacquered brass, glass, mahogany, velvet",
        "metal glass wood textile working",
        "lacquered",
    ),
    ("Miner's safety lamp | brass, steel gauze, glass", "metal glass", ""),
    ("Gas mask | rubber, canvas, glass, asbestos filter", "plastic textile glass stone", "asbestos"),
    ("Thermometer | glass, mercury, boxwood scale", "glass metal wood working", "mercury_inside"),
    ("Camera | mahogany, brass, leather bellows, lens", "wood metal skin glass working", ""),
    ("Gauge, radium dial | brass, glass", "metal glass", "luminous"),
    ("Dynamo model | iron, copper windings, shellac, mahogany base", "metal wood", "shellac"),
    ("Slide rule | boxwood, celluloid facings, brass", "wood plastic metal working", ""),
    ("Ceramic insulator, brown glazed", "ceramic", "glazed"),
    # archaeology
    ("Urn fragments | coarse pottery, grog tempered", "ceramic", ""),
    ("Brooch, disc, excavated | copper alloy, traces of gilding", "metal", "gilded archaeological"),
    ("Leather shoe sole, waterlogged deposit", "skin", "waterlogged"),
    ("Roman tile fragment with paw print | fired clay", "ceramic", ""),
    ("Knife, tanged, from the excavation | iron, mineralised wood", "metal wood", "archaeological"),
    ("Flint scraper", "stone", ""),
    ("Spindle whorl | lead", "metal", ""),
    ("Bone comb, double sided, iron rivets | bone, iron", "bone metal", ""),
    ("Amphora sherd | terracotta", "ceramic", ""),
    # costume
    ("Wedding dress | ivory silk satin, cotton lining, metal hooks and eyes", "textile metal", ""),
    ("Bonnet | plaited straw, silk ribbon", "plant textile", ""),
    ("Military tunic | scarlet wool, gold lace, brass buttons", "textile metal", ""),
    ("Corset | cotton coutil, whalebone, steel busk", "textile bone metal", ""),
    ("Shoes, pair | kid leather, silk lining, celluloid heel", "skin textile plastic", ""),
    ("Handbag | crocodile skin, gilt clasp", "skin metal", ""),
    ("Muff | fox fur, silk lining", "skin textile", ""),
    ("Raincoat | rubberised cotton", "textile", ""),
    ("Parasol | silk cover, whalebone ribs, ivory handle", "textile bone", "handle"),
    ("Evening bag | velvet, steel beads", "textile metal", ""),
    # German, French, Dutch
    ("Truhe | Eiche, Eisenbeschläge", "wood metal", ""),
    ("Butterfass | Holz, Weide", "wood", ""),
    ("Krug | Steinzeug, Zinndeckel", "ceramic metal", ""),
    ("Wanduhr | Holz bemalt, Messing, Stahl", "wood metal", "painted"),
    ("Fächer | Elfenbein, Seide, Federn", "bone textile skin", ""),
    ("Coffre | chêne sculpté, ferrures en fer forgé", "wood metal", ""),
    ("Assiette | faïence, décor peint", "ceramic", "painted"),
    ("Tabatière | écaille, or et nacre", "bone metal", ""),
    ("Tapisserie | laine et soie", "textile", ""),
    ("Kist | eikenhout met ijzeren beslag", "wood metal", ""),
    ("Bord | aardewerk, tinglazuur", "ceramic", "glazed"),
    ("Klok | brons, klepel van ijzer", "metal", ""),
    ("Doos | papier-maché, gelakt, verguld", "ceramic", "lacquered gilded"),
    # American and mixed
    ("Weathervane, rooster | molded copper, gold leaf, iron rod", "metal", "gilded"),
    ("Duck decoy | cedar, original paint, glass eyes, lead weight", "wood glass metal", "painted"),
    ("Quilt | cotton, cotton batting, pieced", "textile", ""),
    ("Whirligig | pine, sheet metal, polychrome", "wood metal", "painted"),
    ("Fire bucket | leather, painted, iron bail handle", "skin metal", "painted handle"),
    ("Candle mold | tinned sheet iron", "metal", ""),
    ("Rocking chair | maple, hickory, rush seat", "wood plant", ""),
    ("Lunch box | lithographed tin, plastic handle", "metal plastic", "printed_decoration"),
    ("Doll | bisque head, composition body, mohair wig, cotton dress", "ceramic textile working", ""),
    ("Teddy bear | mohair plush, wood wool stuffing, glass eyes", "textile wood glass working", ""),
    ("Accordion | celluloid, wood, card bellows, steel reeds", "plastic wood paper metal working", ""),
    ("Oar, painted blade", "wood", "painted"),
    ("Tiller", "wood", ""),
    ("Hobnailed boots", "skin", "metal_in_organic"),
    ("Picture frame | composition on pine, gilt", "ceramic wood", "gilded"),
    ("Lino floor sample", "textile", ""),
    ("Walking stick | malacca, silver collar, horn tip", "plant metal bone", ""),
)

MISREAD = {
    "Herbarium sheet, mosses": "the moss is read as a plant body besides the mounted sheet",
    "Tabatière | écaille, or et nacre": "the French word for gold is the English or",
}


def as_expected(text: str, families: str, features: str) -> bool:
    """Whether a row gives exactly these families, at least these features, and no contents nobody told of."""
    title, _, materials = (cell.strip() for cell in text.partition("|"))
    reading = read_texts({"title": title, "materials": materials})
    keys = {key for part in reading.parts for key in part.features} | {one.key for one in reading.features}
    wanted = set(features.split())
    sealed = "sealed_contents" in keys - wanted
    return {part.family for part in reading.parts} == set(families.split()) and wanted <= keys and not sealed


@pytest.mark.parametrize(("text", "families", "features"), [row for row in ROWS if row[0] not in MISREAD])
def test_families_and_features(text: str, families: str, features: str) -> None:
    assert as_expected(text, families, features)


def test_what_is_still_misread() -> None:
    assert {row[0] for row in ROWS if not as_expected(*row)} == set(MISREAD)
