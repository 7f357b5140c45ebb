"""What the fuzz begins with: a sound input for each reader, and inputs made to do harm."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from zlib import crc32

PLAIN = "[fol. 12r]\nþa lanꝺ-\nᵹemæꞃa nyhtu\u0304\n[fol. 12v]\non þære ealdan stræte\n"
LEIDEN = "[fol. 1r]\nmoꞃ[ᵹen] (and) [..] a[---]b\nạb ⟨c⟩ {d} ⟦e⟧ ⸌f⸍ \\g/ [a(b)c]-\nx\n"
TSV = "locus\tlemma\tgloss\nS.1\tlupus\tƿulꝼ\nS.2\tsal\tsealt\n"
CSV = 'n,lemma,gloss\n1,"lupus, magnus",ƿulꝼ\n2,"a ""b""",sealt\n'
TEI = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<TEI xmlns="http://www.tei-c.org/ns/1.0"><teiHeader><fileDesc/>'
    '<profileDesc><handNotes><handNote xml:id="h1"/><handNote xml:id="h2"/></handNotes></profileDesc>'
    '</teiHeader><text><body>\n<pb n="12r"/><p><lb n="1"/>þa <unclear>lan</unclear>ꝺ-<lb n="2" break="no"/>ᵹe'
    '<supplied reason="lost">m</supplied>æꞃa <gap quantity="2" unit="chars"/> <choice><abbr>⁊</abbr>'
    '<expan>and</expan></choice> <add hand="#h2">x</add><del>y</del>&amp; o&#x304;</p>\n'
    '<p><delSpan spanTo="#e"/>a<w xml:id="w1" n="a>b">d<am>~</am><ex>e</ex></w><handShift new="#h2"/>b</p>'
    '<!-- < --><p>c<anchor xml:id="e"/><app><lem>d</lem><rdg>e</rdg></app><note>f</note><![CDATA[<g>]]></p>'
    '<table><row role="label"><cell>x</cell><cell>y</cell></row><row n="1"><cell>g</cell><cell>h</cell></row>'
    "</table></body></text></TEI>\n"
)
PAGE = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<PcGts xmlns="http://schema.primaresearch.org/PAGE/gts/pagecontent/2019-07-15">'
    '<Page imageFilename="12r.tif"><ReadingOrder><OrderedGroup id="g">'
    '<RegionRefIndexed index="0" regionRef="r2"/>'
    '<RegionRefIndexed index="1" regionRef="r1"/></OrderedGroup></ReadingOrder>\n'
    '<TextRegion id="r1"><TextLine id="l1">'
    '<TextEquiv index="1"><Unicode>x</Unicode></TextEquiv><TextEquiv index="0"><Unicode>þa lanꝺ-</Unicode>'
    '</TextEquiv></TextLine></TextRegion>\n<TextRegion id="r2"><TextLine id="l2"><TextEquiv>'
    "<Unicode>on</Unicode>"
    "</TextEquiv></TextLine></TextRegion></Page></PcGts>\n"
)
ALTO = (
    '<alto xmlns="http://www.loc.gov/standards/alto/ns-v4#"><Layout><Page PHYSICAL_IMG_NR="7">'
    "<PrintSpace><TextBlock>\n"
    '<TextLine><String CONTENT="on"/><SP/><String CONTENT="stræ" SUBS_TYPE="HypPart1"/>'
    '<HYP CONTENT="-"/></TextLine>\n'
    '<TextLine><String CONTENT="te" SUBS_TYPE="HypPart2"/></TextLine>'
    "</TextBlock></PrintSpace></Page></Layout></alto>\n"
)
XLSX = (  # of these two the file is an archive: ``packed`` makes it
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    '<row r="1"><c r="A1" t="inlineStr"><is><t>lemma</t></is></c><c r="B1" t="inlineStr"><is><t>gloss</t>'
    '</is></c></row><row r="2"><c r="A2"><v>3.0</v></c><c r="B2" t="str"><f>A1</f><v>ƿulꝼ</v></c></row>'
    "</sheetData></worksheet>\n"
)
ODS = (
    '<o:document-content xmlns:o="urn:oasis:names:tc:opendocument:xmlns:office:1.0"'
    ' xmlns:t="urn:oasis:names:tc:opendocument:xmlns:table:1.0"'
    ' xmlns:x="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><o:body><o:spreadsheet><t:table t:name="a">'
    '<t:table-row><t:table-cell o:value-type="string"><x:p>lemma</x:p></t:table-cell><t:table-cell'
    ' o:value-type="string"><x:p>gl<x:s x:c="2"/>oss</x:p></t:table-cell></t:table-row>'
    '<t:table-row><t:table-cell o:value-type="float" o:value="3"><x:p>3</x:p></t:table-cell>'
    '<t:table-cell t:number-columns-repeated="1" o:value-type="string"><x:p>ƿulꝼ</x:p></t:table-cell>'
    "</t:table-row></t:table></o:spreadsheet></o:body></o:document-content>\n"
)
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PARTS = {
    ".xlsx": {
        "xl/workbook.xml": '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
        f' xmlns:r="{_RELATIONS}"><sheets><sheet name="a" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/'
        f'relationships"><Relationship Id="r1" Type="{_RELATIONS}/worksheet" Target="worksheets/sheet1.xml"/>'
        "</Relationships>",
        "xl/worksheets/sheet1.xml": "",
    },
    ".ods": {"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": ""},
}
SPOILT_ARCHIVES = 20  # of so many archives one is spoilt itself

DOSSIER = (
    '[copyist]\nname = "Wickenby"\n[fold]\nsets = ["insular"]\npairs = [["ę", "æ"]]\n[[survivor]]\nid = "E"\n'
    'original = "o.txt"\ncopy = ["c.txt"]\nscript = "insular"\n'
    'passages = [{ lines = "12r:1-2", language = "la" }]\nquires = ["12r-12v"]\n'
    '[[lost]]\nid = "X"\ncopy = "x.txt"\n[[witness]]\nsiglum = "K"\nof = "X"\nfile = "k.txt"\n'
    '[settings]\nbeam = 12\nconfidence = 0.9\nstates_as_evidence = ["expanded"]\n'
)

# reader -> (ending of the file, profile, a sound input)
READERS: dict[str, tuple[str, str, str]] = {
    "plain": (".txt", "plain", PLAIN),
    "leiden": (".txt", "leiden", LEIDEN),
    "leiden_literary": (".txt", "leiden_literary", LEIDEN),
    "tsv": (".tsv", "plain", TSV),
    "csv": (".csv", "plain", CSV),
    "tei": (".xml", "plain", TEI),
    "page": (".xml", "plain", PAGE),
    "alto": (".xml", "leiden", ALTO),
    "xlsx": (".xlsx", "plain", XLSX),
    "ods": (".ods", "plain", ODS),
    "dossier": (".toml", "", DOSSIER),
}

PIECES = (
    *("[", "]", "(", ")", "⟨", "⟩", "{", "}", "⟦", "⟧", "⸌", "⸍", "\\", "/", "...", "---", "…", "▯"),
    *("\t", "\n", "\r", "\r\n", " ", '"', "'", ",", "=", "[[", "]]", "#", "-", "\u00ad", "\u2010", "¬"),
    *(
        "<",
        ">",
        "&",
        "&#0;",
        "&#xD800;",
        "&#x304;",
        "&amp;",
        "<!--",
        "-->",
        "<![CDATA[",
        "]]>",
        "<?x?>",
        "</p>",
    ),
    *("<lb/>", '<lb break="no"/>', "<gap/>", "<unclear>", "</unclear>", '<gap quantity="99999999999"/>'),
    *('index="x"', 'index="99999999999"', 'regionRef="no"', "<TextLine>", "<HYP/>", "<SP/>", "<String/>"),
    *(
        "\u0323",
        "\u0304",
        "\u0e33",
        "\u200d",
        "\u202e",
        "\ufeff",
        "\ufffd",
        "\0",
        "\x1b",
        "\ue8b7",
        "\U000f0000",
    ),
    *(
        "\U0010ffff",
        "👩‍👩‍👧",
        "가",
        "а",
        "ſ",
        "\ua770",
        "[fol. 12r]",
        "[p. ]",
        "9" * 40,
        "1e999",
        "-1",
        "nan",
    ),
    *(
        '"../../x"',
        '"/etc/passwd"',
        '"link.txt"',
        '"circle.txt"',
        "true",
        "{ lines = 3 }",
        "[settings]",
        "inf",
    ),
)


def harmful() -> Iterator[tuple[str, bytes]]:
    """Give inputs that are known to do harm to careless readers: (reader, content)."""
    bomb = '<!DOCTYPE a [<!ENTITY a "x">' + "".join(
        f'<!ENTITY a{i} "{f"&a{i - 1 if i else str()};" * 10}">' for i in range(9)
    )
    yield "tei", f"{bomb}]><TEI><text><body><p>&a8;</p></body></text></TEI>".encode()
    outside = '<!DOCTYPE a [<!ENTITY a SYSTEM "file:///etc/hostname">]><ab>&a;</ab>'
    yield "tei", outside.encode()
    for depth in (500, 5_000, 50_000):
        yield "tei", ("<ab>" + "<hi>" * depth + "a" + "</hi>" * depth + "</ab>").encode()
        yield (
            "page",
            ("<PcGts><Page>" + "<TextRegion>" * depth + "</TextRegion>" * depth + "</Page></PcGts>").encode(),
        )
        nested = "<choice><am/><expan><ex>" * depth + "a" + "</ex></expan></choice>" * depth
        yield "tei", f"<ab>{nested}</ab>".encode()
        yield "tei", ("<ab>" + '<delSpan spanTo="#a"/><handShift new="#b"/>' * depth + "a</ab>").encode()
        yield "tei", ("<ab>" + "a<am>b</am>" * depth + "</ab>").encode()
        yield (
            "tei",
            ("<ab>" + "".join(f"<n{n}>a</n{n}><gap quantity='x'/>" for n in range(depth)) + "</ab>").encode(),
        )
        yield "alto", ("<alto>" + "<Page>" * depth + "</Page>" * depth + "</alto>").encode()
        yield "leiden", ("[" * depth + "a" + "]" * depth).encode()
        yield "leiden_literary", ("({" * depth).encode()
        yield "dossier", ("a = " + "[" * depth + "]" * depth).encode()
        yield "dossier", ("[" + ".".join("a" * 1 for _ in range(depth)) + "]").encode()
    for name, (_, _, text) in READERS.items():
        yield name, b""
        yield name, b"\0" * 10_000
        yield name, text.encode("utf-16")
        yield name, text.encode("utf-16-le")
        yield name, text.encode("utf-32")
        yield name, text.encode("latin-1", "replace")
        yield name, ("a" + "\u0304" * 50_000).encode()
        yield name, ("\u0323" * 20_000).encode()
        yield name, text.replace("\n", "").encode() * 1_000
        yield name, ("ab " * 100_000).encode()
        yield name, text.encode()[: len(text) // 2]
        yield name, b"\xff\xfe" + text.encode()
        yield name, b"\x80" * 10_000


def packed(ending: str, data: bytes) -> bytes:
    """Give the file for an input: itself, or the archive that it is the main part of."""
    if ending not in _PARTS:
        return data
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for name, text in _PARTS[ending].items():
            archive.writestr(zipfile.ZipInfo(name), text or data)
    file = bytearray(made.getvalue())
    number = crc32(data)
    if number % SPOILT_ARCHIVES == 0:
        file[number // SPOILT_ARCHIVES % len(file)] ^= 0xFF
    return bytes(file)
