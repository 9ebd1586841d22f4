// Links of the page in the phone's frame lead out of it: the pages they lead to are not to be framed.

for (const link of document.querySelectorAll('a[href]:not([href^="#"])')) link.target = "_top";
