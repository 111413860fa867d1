/* cli/example_people.c: who the riders of the example are. */
#include "cli/example_people.h"

/* In the order of simulated_stories. */
const struct example_person example_people[] = {
    { "Maren Oslund", "1994-04-11", "2024-03-01", 52, true, "spider", "chest",
      "Works shifts; Thursdays are short." },
    { "Teodor Vask", "1983-09-30", "2021-05-01", 49, true, "crank", "chest",
      "Likes to ride near threshold. Always." },
    { "Priya Nandakar", "1997-01-19", "2025-03-01", 60, true, "pedals", "arm",
      "Came from running." },
    { "Jonas Ebbeck", "1988-06-02", "2023-10-01", 54, false, "spider", "chest",
      "Watches heart rate, not watts." },
    { "Lucia Ferramonte", "1991-12-08", "2022-04-01", 48, true, "pedals", "chest",
      "New pedals in May: compare old and new before reading trends." },
    { "Kwabena Osarfo", "1986-03-27", "2022-09-01", 50, true, "spider", "chest",
      "Fever in April; two weeks without a ride." },
    { "Hanne Brodal", "1979-11-14", "2023-01-01", 51, false, "trainer", "wrist",
      "Power on the trainer only." },
    { "Rui Salvedra", "1990-07-05", "2024-01-01", 56, true, "crank", "chest",
      "New job since June." },
    { "Aiko Minamura", "2000-02-23", "2025-10-01", 62, false, "pedals", "arm",
      "First winter with a plan." },
    { "Dario Pelucchi", "1992-08-17", "2021-11-01", 47, true, "spider", "chest",
      "Strap kept failing in spring; new one since June." },
    { "Sorcha Quillane", "1985-05-21", "2022-02-01", 50, true, "crank", "chest",
      "Left crank only: its number is twice the left leg." },
    { "Emil Vargalund", "2009-10-12", "2025-04-01", 58, false, "spider", "chest",
      "School first. Parents read along." },
    { "Zofia Kaminek", "1989-02-02", "2020-06-01", 49, true, "pedals", "chest",
      "Broken collarbone in January; riding again since the end of April." },
    { "Bastien Rocquel", "1993-10-29", "2023-05-01", 53, false, "spider", "chest",
      "Easy rides turn into races with friends." },
};
