/* coaching/symptoms.h: words in a rider's note that somebody should ask about.
 *
 * Looked for are English words and phrases, whatever their case, accents or punctuation.  A word
 * just after "no", "not", "never", "without" in the same clause isn't taken; when in doubt it is,
 * for asking once too often costs a question.  Never a diagnosis, and silence is no proof of
 * health: a rider may say it in other words, or not at all. */
#ifndef COACHING_SYMPTOMS_H
#define COACHING_SYMPTOMS_H

/* Added. */
enum symptom {
    SYMPTOM_CHEST = 1,  /* chest pain, pressure on the chest; not the chest strap */
    SYMPTOM_HEART = 2,  /* palpitations, a racing or skipping heart */
    SYMPTOM_FAINT = 4,  /* dizzy, faint, passed out */
    SYMPTOM_BREATH = 8, /* short of breath, couldn't breathe */
    SYMPTOM_FEVER = 16, /* fever, a temperature, chills */
    SYMPTOM_ILL = 32,   /* a cold, flu, sick, sore throat, antibiotics, ... */
    SYMPTOM_FALL = 64,  /* a crash, a blow to the head */
};

/* Those after which a doctor is named. */
#define SYMPTOMS_OF_HEART (SYMPTOM_CHEST | SYMPTOM_HEART | SYMPTOM_FAINT | SYMPTOM_BREATH)
#define SYMPTOMS_OF_ILL   (SYMPTOM_FEVER | SYMPTOM_ILL)

/* words NULL = none. */
unsigned symptoms_in(const char *words);

#endif
