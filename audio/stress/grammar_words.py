"""Words of grammar of Spanish, German, French and Italian, which seldom bear an accent.

Common knowledge of these languages; spelled in lower case, elided ones without their mark.
"""

from __future__ import annotations

WORDS = {
    "es": """el la lo los las un una unos unas de del a al en con por para sin sobre entre
        hasta desde y e o u ni que si como cuando pero pues me te se le les nos os mi
        mis tu tus su sus es son era ser fue ha han he has hay esta este estos estas""",
    "de": """der die das den dem des ein eine einen einem einer eines und oder aber denn dass
        ob wenn als wie zu in im an am auf aus bei beim mit nach von vom vor f\u00fcr
        \u00fcber um durch ich du er sie es wir ihr mich dich sich uns mir dir ihm mein
        dein sein ihre bin bist ist sind seid war waren hat habe haben wird werden kann
        ja mal doch""",
    "fr": """le la les l un une des de du d \u00e0 au aux en dans par pour sur avec sans et
        ou ni mais que qu qui si je j tu il elle on nous vous ils elles me m te t se s
        ce c cet cette ces mon ma mes ton ta tes son sa ses leur leurs ne n y est suis
        es sont \u00e9tait a ai ont""",
    "it": """il lo la i gli le l un uno una di del dello della dei degli delle a al allo alla
        ai agli alle da dal dalla in nel nella con su sul sulla per tra fra e ed o ma
        che se come mi ti si ci vi lo ne non \u00e8 sono era ha ho hanno mio mia tuo tua
        suo sua dell nell dall sull all""",
}
GRAMMAR = {language: frozenset(words.split()) for language, words in WORDS.items()}
