// The browser knows its clock better than a guess from the state; a choice already made stays.
const choice = document.querySelector("select[name=zone]");
const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
if (choice && !choice.value && [...choice.options].some((one) => one.value === here)) {
  choice.value = here;
}
